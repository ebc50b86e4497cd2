//! The interactive session: one line after another, answered.
//!
//! The first word decides what a line is: a trial, a verb, an entry, or else an
//! expression. Where the lines come from, a terminal or a pipe, is left to
//! [`Lines`]. Start reading at [`Conversation::run`].

use std::io::{self, BufRead, Write};
use std::path::PathBuf;

use crate::report::change::{self, Change, Changes};
use crate::report::drawing::{DrawnProblem, draw};
use crate::report::model::{Basis, Entry, EntryKind, Part, Report, Section};
use crate::report::style::{Style, Tone};
use crate::report::visible::visible;
use crate::report::{pages, terminal};
use crate::session::edit::goes_on;
use crate::session::file::Replacing;
use crate::session::trial::Answered;
use crate::session::verbs::{VERBS, every_typed_help, typed_help, typed_verb};
use crate::session::{Outcome, Refusal, Session};
use crate::text::nearest;

use super::command::{checks_text, functions};
use super::output::spoken;

/// So many problems are drawn at once.
const MOST_DRAWN: usize = 3;

/// The words that open an entry.
const OPENINGS: [&str; 10] = [
    "measured", "quoted", "assumed", "worked", "answer", "expect", "rule", "table", "case", "plot",
];

/// What reading a line came to.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Reply {
    /// A line, without its end.
    Line(String),
    /// The line was broken off.
    BrokenOff,
    /// There are no more.
    End,
}

/// Where lines come from.
pub trait Lines {
    /// Reads a line behind a prompt, with a text to begin with.
    ///
    /// # Errors
    /// Those of the terminal or the pipe.
    fn read(&mut self, prompt: &str, initial: &str, session: &Session) -> io::Result<Reply>;

    /// Whether a person can be asked again.
    fn is_terminal(&self) -> bool;
}

/// Lines from a pipe or a file; no prompt is shown.
pub struct Piped<R> {
    input: R,
}

impl<R: BufRead> Piped<R> {
    /// Lines of this input.
    pub fn new(input: R) -> Piped<R> {
        Piped { input }
    }
}

impl<R: BufRead> Lines for Piped<R> {
    fn read(&mut self, _: &str, _: &str, _: &Session) -> io::Result<Reply> {
        let mut bytes = Vec::new();
        if self.input.read_until(b'\n', &mut bytes)? == 0 {
            return Ok(Reply::End);
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
}

/// A session talked to line by line.
pub struct Conversation<'a, L: Lines, W: Write> {
    session: Session,
    lines: &'a mut L,
    output: &'a mut W,
    style: Style,
    hinted: bool,
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
        }
    }

    /// Talks until there are no more lines or `quit` is typed.
    ///
    /// # Errors
    /// Those of reading and writing.
    pub fn run(mut self) -> io::Result<()> {
        self.greet()?;
        loop {
            let prompt = self.prompt();
            let next = match self.read(&prompt, "")? {
                Reply::Line(line) => {
                    let line = self.whole(line)?;
                    self.answer(&line)?
                }
                Reply::BrokenOff => Next::GoOn,
                Reply::End if self.lines.is_terminal() => self.quit()?,
                Reply::End => {
                    self.tell_unsaved()?;
                    Next::Leave
                }
            };
            if next == Next::Leave {
                return self.output.flush();
            }
        }
    }

    fn read(&mut self, prompt: &str, initial: &str) -> io::Result<Reply> {
        self.output.flush()?;
        self.lines.read(prompt, initial, &self.session)
    }

    fn prompt(&self) -> String {
        let case = self.session.sheet().case().map(|case| visible(&case.name).into_owned());
        let trials = match self.session.trial_names().len() {
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
            match self.read("more> ", "")? {
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
        for problem in problems.iter().take(MOST_DRAWN) {
            let drawing = draw(problem, self.style);
            let gap = if problem.line > 0 { "\n" } else { "" };
            self.print(&format!("{gap}{drawing}"))?;
        }
        match problems.len().saturating_sub(MOST_DRAWN) {
            0 => Ok(()),
            1 => self.aside("One problem more; `check` draws them all"),
            more => self.aside(&format!("{more} problems more; `check` draws them all")),
        }
    }

    fn tell(&mut self, result: Result<Outcome, Refusal>) -> io::Result<bool> {
        let outcome = match result {
            Ok(outcome) => outcome,
            Err(refusal) => {
                self.draw(&refusal.problems)?;
                return Ok(false);
            }
        };
        for told in &outcome.told {
            self.say(told)?;
        }
        let entries: Vec<_> = outcome.entries.iter().collect();
        if !entries.is_empty() {
            let text = terminal::write_entries(&entries, self.style);
            self.print(&text)?;
        }
        if let Some(changes) = &outcome.changes {
            let text = change::write(changes, self.style);
            self.print(&text)?;
        }
        for caution in &outcome.cautions {
            let text = spoken(&format!("Caution, {caution}"), Some(Tone::Care), self.style);
            self.print(&text)?;
        }
        match outcome.mended {
            0 => {}
            1 => self.say("One problem is mended")?,
            many => self.say(&format!("{many} problems are mended"))?,
        }
        match outcome.back {
            0 => {}
            1 => self.say("One problem is back; `check` draws it")?,
            many => self.say(&format!("{many} problems are back; `check` draws them"))?,
        }
        self.draw(&outcome.problems)?;
        Ok(true)
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
        let report = self.session.report();
        let mut text = terminal::write_head(&head(&report), self.style);
        if report.title.is_none() {
            let name = self.style.paint(Tone::Strong, &visible(self.session.name()));
            text = format!("{name}\n{text}");
        }
        self.print(&format!("{}\n", text.trim_end()))?;
        let codes = caution_codes(&report);
        if !codes.is_empty() {
            self.print("\n")?;
            self.aside(&format!("Cautions: {}; `show cautions` tells them", codes.join(", ")))?;
        }
        let problems = self.session.problems();
        self.draw(&problems)?;
        self.print("\n")?;
        let told = match self.sample_trial() {
            Some(trial) => format!("Type an expression, try a value with `{trial}`, or `help` for more"),
            None => "Type an expression, a whole entry, or `help` for more".to_owned(),
        };
        self.aside(&told)
    }

    /// A trial that would make sense here: a value that a case puts in place, or else
    /// the first assumed one as it stands.
    fn sample_trial(&self) -> Option<String> {
        let sheet = self.session.sheet();
        let in_case = sheet.cases().first().and_then(|case| case.held.first());
        if let Some((cell, held)) = in_case.filter(|(_, held)| !held.written.is_empty()) {
            let value = held.written.split('±').next().unwrap_or("").trim();
            return Some(visible(&format!("{} = {value}", sheet.entry(*cell)?.name.text)).into_owned());
        }
        let report = self.session.report();
        let assumed = |entry: &&Entry| entry.kind == EntryKind::Assumed && entry.unit.is_some();
        let entry = report.entries.iter().find(assumed)?;
        Some(visible(&format!("{} = {}", entry.name, entry.shown.value)).into_owned())
    }

    // ---- lines ----

    fn answer(&mut self, line: &str) -> io::Result<Next> {
        let trimmed = line.trim();
        if trimmed.is_empty() || trimmed.starts_with("--") {
            return Ok(Next::GoOn);
        }
        if Session::is_trial(trimmed) {
            return self.try_value(trimmed);
        }
        let (word, rest) = first_word(trimmed);
        if typed_verb(word).is_some() && !(word == "case" && opens_case(rest)) {
            return self.verb(word, rest);
        }
        if OPENINGS.contains(&word) {
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
        if self.tell(result)? && !self.hinted {
            self.hinted = true;
            self.aside("`keep` puts trials into the record, `drop` lets them go")?;
        }
        Ok(Next::GoOn)
    }

    fn expression(&mut self, line: &str) -> io::Result<Next> {
        match self.session.evaluate(line) {
            Ok(answered) => self.show_answered(answered)?,
            Err(refusal) => {
                let refusal = with_near_verb(refusal, line);
                self.tell(Err(refusal))?;
            }
        }
        Ok(Next::GoOn)
    }

    fn show_answered(&mut self, answered: Answered) -> io::Result<()> {
        let text = match answered {
            Answered::Value(shown) => format!("  {}\n", self.style.paint(Tone::Strong, &visible(&shown.display()))),
            Answered::Entry(entry) => terminal::write_entries(&[&*entry], self.style),
            Answered::Table(report, place) => {
                let section = Section {
                    parts: vec![Part::Table(place)],
                    ..Section::default()
                };
                let text = terminal::write_section(&report, &section, self.style);
                format!("{}\n", text.trim_end())
            }
            Answered::Line(line) => format!("  {}\n", visible(&line)),
        };
        self.print(&text)
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
            Some(text) => {
                let result = self.session.enter(&text);
                self.done(result)
            }
            None => Ok(Next::GoOn),
        }
    }

    /// The head of a block with the lines below it, each beginning with `mark`;
    /// `None` where it was broken off.
    fn block(&mut self, head: &str, mark: &str, asked: &str) -> io::Result<Option<String>> {
        self.aside(asked)?;
        let mut text = head.to_owned();
        loop {
            match self.read("more> ", "")? {
                Reply::Line(more) if !more.trim().is_empty() => {
                    let more = more.trim();
                    let mark = if more.starts_with(mark.trim()) { "" } else { mark };
                    text.push_str(&format!("\n  {mark}{more}"));
                }
                Reply::BrokenOff => return Ok(None),
                _ => return Ok(Some(text)),
            }
        }
    }

    fn verb(&mut self, word: &str, rest: &str) -> io::Result<Next> {
        let words: Vec<&str> = rest.split_whitespace().collect();
        match (word, words.as_slice()) {
            ("show", _) => self.show(rest),
            ("check", []) => self.check(),
            ("case", []) => self.list_cases(),
            ("case", [name]) => {
                let result = self.session.set_case(name);
                self.done(result)
            }
            ("trials", []) => self.list_trials(),
            ("keep", []) => {
                let result = self.session.keep();
                self.done(result)
            }
            ("keep", ["as", "case", ..]) => {
                let line = rest.split_once("case").map_or("", |(_, line)| line);
                let result = self.session.keep_as_case(line.trim());
                self.done(result)
            }
            ("drop", [] | [_]) => {
                let result = self.session.drop_trials(words.first().copied());
                self.done(result)
            }
            ("undo", []) => {
                let result = self.session.undo();
                self.done(result)
            }
            ("redo", []) => {
                let result = self.session.redo();
                self.done(result)
            }
            ("edit", [name]) => self.edit(name),
            ("remove", [name]) => {
                let result = self.session.remove(name);
                self.done(result)
            }
            ("rename", [old, new]) => {
                let result = self.session.rename(old, new);
                self.done(result)
            }
            ("save", _) => self.save(&words, rest),
            ("reload", []) => {
                let result = self.session.reload();
                self.done(result)
            }
            ("functions", _) => {
                let words: Vec<String> = words.iter().map(|word| (*word).to_owned()).collect();
                self.page(functions(&words, self.style))
            }
            ("units", _) => {
                let word = (!rest.is_empty()).then_some(rest);
                self.page(pages::units_page(word, self.style))
            }
            ("help", []) => self.page(pages::help_page("", &typed_help(), self.style)),
            ("help", _) => self.page(pages::help_page(rest, &every_typed_help(), self.style)),
            ("quit", []) => self.quit(),
            _ => {
                let usage = typed_verb(word).and_then(|verb| verb.typed).unwrap_or(word);
                let refusal = Refusal::new(format!("`{word}` can't be followed by that"));
                self.refuse(refusal.help(format!("`{usage}`")))
            }
        }
    }

    fn page(&mut self, page: Result<String, String>) -> io::Result<Next> {
        match page {
            Ok(text) => self.print(&text)?,
            Err(message) => self.say(&message)?,
        }
        Ok(Next::GoOn)
    }

    // ---- looking ----

    fn show(&mut self, section: &str) -> io::Result<Next> {
        let report = self.session.report();
        let wanted = section.to_lowercase();
        let text = match wanted.as_str() {
            "" => Some(terminal::write(&report, self.style)),
            "answers" => Some(terminal::write_head(&only_answers(&report), self.style)),
            "checks" => Some(terminal::write_checks(&report.checks, self.style)),
            "cautions" => Some(terminal::write_cautions(&report, self.style)),
            _ => match find_sections(&report, &wanted).as_slice() {
                [] => None,
                [section] => Some(terminal::write_section(&report, section, self.style)),
                several => {
                    let refusal = Refusal::new(format!("several sections fit `{section}`"));
                    return self.refuse(refusal.help(listed_titles(several.iter().copied())));
                }
            },
        };
        match text {
            Some(text) if text.trim().is_empty() => self.say("There is nothing in it")?,
            Some(text) => self.print(&format!("{}\n", text.trim_end()))?,
            None if self.session.sheet().names().get(section).is_some() => return self.expression(section),
            None => {
                let titles = report.sections.iter().map(|section| section.title.as_str());
                let names = self.session.sheet().names();
                let near = nearest(section, titles)
                    .or_else(|| names.nearest(section))
                    .map(str::to_owned);
                let refusal = Refusal::new(format!("there is no section `{section}`"));
                return self.refuse(match near {
                    Some(near) => refusal.help(format!("write `{near}`, if that is meant")),
                    None if report.sections.iter().all(|section| section.title.is_empty()) => {
                        refusal.help("it has no headings; `show` alone shows all of it")
                    }
                    None => refusal.help(format!("its sections are {}", listed_titles(report.sections.iter()))),
                });
            }
        }
        Ok(Next::GoOn)
    }

    fn check(&mut self) -> io::Result<Next> {
        let text = checks_text(self.session.name(), &self.session.report(), self.style);
        self.print(&text)?;
        for problem in self.session.problems() {
            let drawing = draw(&problem, self.style);
            self.print(&format!("\n{drawing}"))?;
        }
        Ok(Next::GoOn)
    }

    fn list_cases(&mut self) -> io::Result<Next> {
        let cases = self.session.sheet().cases();
        if cases.is_empty() {
            self.say("There are no cases; `case NAME \"title\"` opens one")?;
            return Ok(Next::GoOn);
        }
        let in_hand = self.session.sheet().case().map_or("base", |case| &case.name).to_owned();
        let mut rows = vec![("base".to_owned(), "the worksheet as it stands".to_owned())];
        rows.extend(
            cases
                .iter()
                .map(|case| (case.name.clone(), case.title.clone().unwrap_or_default())),
        );
        let width = rows.iter().map(|(name, _)| name.chars().count()).max().unwrap_or(0);
        let mut text = String::new();
        for (name, title) in rows {
            let mark = if name == in_hand { "← in hand" } else { "" };
            let line = format!("  {:<width$}   {}  {mark}", visible(&name), visible(&title));
            text.push_str(line.trim_end());
            text.push('\n');
        }
        self.print(&text)?;
        Ok(Next::GoOn)
    }

    fn list_trials(&mut self) -> io::Result<Next> {
        let trials = self.session.trials();
        if trials.is_empty() {
            self.say("Nothing is on trial; `NAME = value` tries a value")?;
            return Ok(Next::GoOn);
        }
        let answers = trials.into_iter().map(|(tried, record)| Change {
            name: tried.name,
            before: record,
            now: tried.shown,
            difference: None,
        });
        let changes = Changes {
            answers: answers.collect(),
            checks: Vec::new(),
        };
        let text = change::write(&changes, self.style);
        self.print(&text)?;
        Ok(Next::GoOn)
    }

    // ---- changing ----

    fn edit(&mut self, name: &str) -> io::Result<Next> {
        let mut text = match self.session.written(name) {
            Ok(text) => text,
            Err(refusal) => return self.refuse(refusal),
        };
        loop {
            let line = match self.read("edit> ", &text)? {
                Reply::Line(line) => self.whole(line)?,
                _ => return Ok(Next::GoOn),
            };
            if line.trim().is_empty() {
                self.say("Left as it was")?;
                return Ok(Next::GoOn);
            }
            let result = self.session.enter_over(name, &line);
            if self.tell(result)? || !self.lines.is_terminal() {
                return Ok(Next::GoOn);
            }
            text = line;
        }
    }

    fn save(&mut self, words: &[&str], rest: &str) -> io::Result<Next> {
        let result = match words {
            [] => self.session.save(Replacing::Known),
            ["over"] => self.session.save(Replacing::Anything),
            ["as" | "over", ..] => {
                let (how, file) = rest.split_once(char::is_whitespace).unwrap_or((rest, ""));
                let replacing = if how == "over" {
                    Replacing::Anything
                } else {
                    Replacing::Known
                };
                match file.trim().trim_matches('"') {
                    "" => Err(Refusal::new("a file name is missing").help("`save as FILE`")),
                    file => self.session.save_as(&path(file), replacing),
                }
            }
            _ => Err(Refusal::new("`save` can't be followed by that").help(format!("`save as {rest}`"))),
        };
        let saved = result.is_ok();
        self.tell(result)?;
        let trials = self.session.trial_names();
        if saved && !trials.is_empty() {
            self.aside(&format!(
                "On trial and not saved: {}; `keep` first puts them into the record",
                trials.join(", ")
            ))?;
        }
        Ok(Next::GoOn)
    }

    fn quit(&mut self) -> io::Result<Next> {
        if !self.session.unsaved() {
            return Ok(Next::Leave);
        }
        loop {
            self.say("The record has changes that are not saved")?;
            let reply = self.read("save, discard or stay? ", "")?;
            let Reply::Line(line) = reply else {
                self.tell_unsaved()?;
                return Ok(Next::Leave);
            };
            match line.trim().to_lowercase().as_str() {
                "save" | "s" | "yes" | "y" => {
                    let result = self.session.save(Replacing::Known);
                    let saved = self.tell(result)?;
                    return Ok(if saved { Next::Leave } else { Next::GoOn });
                }
                "discard" | "d" | "no" | "n" | "quit" => return Ok(Next::Leave),
                "stay" | "" => return Ok(Next::GoOn),
                other if other.starts_with("save ") => {
                    let rest = line.trim().get("save ".len()..).unwrap_or("").trim().to_owned();
                    let words: Vec<&str> = rest.split_whitespace().collect();
                    self.save(&words, &rest)?;
                    return Ok(if self.session.unsaved() {
                        Next::GoOn
                    } else {
                        Next::Leave
                    });
                }
                _ => {}
            }
        }
    }

    fn tell_unsaved(&mut self) -> io::Result<()> {
        match self.session.unsaved() {
            true => self.say("Left without saving"),
            false => Ok(()),
        }
    }
}

/// The first word of a line, where a space or the end follows it, and the rest.
fn first_word(line: &str) -> (&str, &str) {
    match line.split_once(char::is_whitespace) {
        Some((word, rest)) => (word, rest.trim()),
        None => (line, ""),
    }
}

/// `NAME "title"` opens a case, `NAME` alone switches to one.
fn opens_case(rest: &str) -> bool {
    rest.contains(['"', '“', '”'])
}

/// A word that is nearly a verb: the verb may have been meant.
fn with_near_verb(refusal: Refusal, line: &str) -> Refusal {
    let (word, _) = first_word(line);
    let unhelped = refusal.problems.iter().all(|problem| problem.help.is_none());
    let verbs = VERBS.iter().filter(|verb| verb.typed.is_some()).map(|verb| verb.name);
    let openings = OPENINGS.iter().copied();
    match nearest(word, verbs.chain(openings)) {
        Some(near) if unhelped => refusal.help(format!("write `{near}`, if that is meant")),
        _ => refusal,
    }
}

/// A path, with `~/` for the user's own folder.
fn path(text: &str) -> PathBuf {
    let home = std::env::var_os("HOME");
    match (text.strip_prefix("~/"), home) {
        (Some(rest), Some(home)) => PathBuf::from(home).join(rest),
        _ => PathBuf::from(text),
    }
}

// ---- pieces of the report ----

/// Title, answers, checks, and how many problems.
fn head(report: &Report) -> Report {
    Report {
        title: report.title.clone(),
        case: report.case.clone(),
        trials: report.trials.clone(),
        checks: report.checks.clone(),
        problems: report.problems.clone(),
        ..only_answers(report)
    }
}

/// The answers alone, without what they rest on.
fn only_answers(report: &Report) -> Report {
    let bare = |answer: &Entry| Entry {
        basis: Basis::default(),
        rule_errors: Vec::new(),
        ..answer.clone()
    };
    Report {
        entries: report.answers().map(bare).collect(),
        ..Report::default()
    }
}

fn caution_codes(report: &Report) -> Vec<&str> {
    let mut codes: Vec<&str> = Vec::new();
    for caution in &report.cautions {
        if !codes.contains(&caution.code.as_str()) {
            codes.push(&caution.code);
        }
    }
    codes
}

/// The sections of that title, or those that begin with it or have it inside.
fn find_sections<'a>(report: &'a Report, wanted: &str) -> Vec<&'a Section> {
    let tests: [fn(&str, &str) -> bool; 3] = [
        |title, wanted| title == wanted,
        |title, wanted| title.starts_with(wanted),
        |title, wanted| title.split_whitespace().any(|word| word.starts_with(wanted)),
    ];
    let found = tests.iter().map(|test| {
        let sections = report.sections.iter();
        let fits = |section: &&Section| test(&section.title.to_lowercase(), wanted);
        sections.filter(fits).collect::<Vec<_>>()
    });
    found.into_iter().find(|found| !found.is_empty()).unwrap_or_default()
}

fn listed_titles<'a>(sections: impl Iterator<Item = &'a Section>) -> String {
    let titled = sections.filter(|section| !section.title.is_empty());
    let titles: Vec<String> = titled.map(|section| format!("`{}`", section.title)).collect();
    titles.join(", ")
}

/// The words that open an entry, for completion.
pub(super) fn openings() -> impl Iterator<Item = &'static str> {
    OPENINGS.into_iter()
}
