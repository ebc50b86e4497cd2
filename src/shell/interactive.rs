//! The terminal: a line editor with completion, hints and history.
//!
//! The only file that names `rustyline`. Names, units, functions and their
//! parameters are completed; while a function is typed its parameters are shown
//! behind the line; what was typed is remembered between sessions.
//! Start reading at [`Terminal`].

use std::borrow::Cow;
use std::fs;
use std::io;
use std::path::PathBuf;

use rustyline::completion::{Completer, Pair};
use rustyline::error::ReadlineError;
use rustyline::highlight::Highlighter;
use rustyline::hint::{Hint, Hinter};
use rustyline::history::FileHistory;
use rustyline::validate::Validator;
use rustyline::{CompletionType, Config, Context, Editor, Helper};

use crate::report::pages::signature;
use crate::session::Session;
use crate::session::verbs::VERBS;
use crate::sheet::names::Named;
use crate::syntax::tree::Node;
use crate::trade::registry::{function, functions};
use crate::unit::symbol::{Symbol, symbols};

use super::conversation::{Lines, Reply, openings};

/// So many lines are remembered.
const HISTORY: usize = 2000;

/// Lines typed at a terminal.
pub(super) struct Terminal {
    editor: Editor<Assistant, FileHistory>,
    history: Option<PathBuf>,
    words_of: Option<String>,
}

impl Terminal {
    /// An editor that knows the words of a worksheet.
    ///
    /// # Errors
    /// Where the terminal can't be used.
    pub(super) fn new(session: &Session) -> io::Result<Terminal> {
        let builder = Config::builder()
            .auto_add_history(false)
            .completion_type(CompletionType::List);
        let config = builder.max_history_size(HISTORY).map_err(io::Error::other)?.build();
        let mut editor = Editor::with_config(config).map_err(io::Error::other)?;
        editor.set_helper(Some(Assistant::of(session)));
        let history = history_file();
        if let Some(path) = &history {
            // A history that can't be read is no reason not to begin.
            let _ = editor.load_history(path);
        }
        Ok(Terminal {
            editor,
            history,
            words_of: Some(session.sheet().text().to_owned()),
        })
    }

    fn remember(&mut self, line: &str) {
        if line.trim().is_empty() || self.editor.add_history_entry(line).is_err() {
            return;
        }
        if let Some(path) = &self.history {
            // Where it can't be written, it lasts as long as the session.
            let _ = self.editor.append_history(path);
        }
    }
}

impl Lines for Terminal {
    fn read(&mut self, prompt: &str, initial: &str, session: &Session) -> io::Result<Reply> {
        if self.words_of.as_deref() != Some(session.sheet().text()) {
            self.words_of = Some(session.sheet().text().to_owned());
            self.editor.set_helper(Some(Assistant::of(session)));
        }
        match self.editor.readline_with_initial(prompt, (initial, "")) {
            Ok(line) => {
                // Answers to a question and lines of a block mean nothing by themselves.
                if prompt.ends_with("> ") {
                    self.remember(&line);
                }
                Ok(Reply::Line(line))
            }
            Err(ReadlineError::Interrupted) => Ok(Reply::BrokenOff),
            Err(ReadlineError::Eof) => Ok(Reply::End),
            Err(ReadlineError::Io(trouble)) => Err(trouble),
            Err(trouble) => Err(io::Error::other(trouble)),
        }
    }

    fn is_terminal(&self) -> bool {
        true
    }
}

/// Where lines are remembered. The folder is made if it isn't there.
fn history_file() -> Option<PathBuf> {
    let folder = state_folder()?;
    fs::create_dir_all(&folder).ok()?;
    Some(folder.join("history"))
}

/// The platform's folder for state, with our own in it.
pub(super) fn state_folder() -> Option<PathBuf> {
    let state = std::env::var_os("XDG_STATE_HOME")
        .map(PathBuf::from)
        .filter(|path| path.is_absolute());
    let home = || Some(PathBuf::from(std::env::var_os("HOME").filter(|home| !home.is_empty())?).join(".local/state"));
    Some(state.or_else(home)?.join("tarebook"))
}

/// What completes and hints.
struct Assistant {
    names: Vec<String>,
    columns: Vec<String>,
    cases: Vec<String>,
    sections: Vec<String>,
    rules: Vec<(String, String)>,
}

impl Assistant {
    fn of(session: &Session) -> Assistant {
        let sheet = session.sheet();
        let tree = sheet.tree();
        let mut assistant = Assistant {
            names: Vec::new(),
            columns: Vec::new(),
            cases: sheet.cases().iter().map(|case| case.name.clone()).collect(),
            sections: Vec::new(),
            rules: Vec::new(),
        };
        for (name, named) in sheet.names().all() {
            match named {
                Named::Rule(item) => assistant.rules.extend(rule_head(session, name, item)),
                _ => assistant.names.push(name.to_owned()),
            }
            if let Named::Table(place) = named {
                let table = sheet.tables().get(place as usize);
                let slots = table.into_iter().flat_map(|table| table.columns.iter());
                let columns = slots.filter_map(|slot| sheet.table_column(*slot));
                assistant
                    .columns
                    .extend(columns.map(|column| format!("{name}.{}", column.name)));
            }
        }
        for (index, item) in tree.items.iter().enumerate() {
            if let Node::Heading(heading) = &item.node {
                assistant
                    .sections
                    .push(heading.title.of(tree.text_of(index)).to_owned());
            }
        }
        for list in [&mut assistant.names, &mut assistant.columns, &mut assistant.sections] {
            list.sort_unstable();
        }
        assistant
    }

    /// The words that may stand where the word being typed stands.
    fn candidates(&self, before: &str, word: &str) -> Vec<Pair> {
        let mut pairs = Vec::new();
        let mut offer = |shown: &str, put: String| {
            if shown.to_lowercase().starts_with(&word.to_lowercase()) {
                pairs.push(Pair {
                    display: shown.to_owned(),
                    replacement: put,
                });
            }
        };
        if in_brackets(before) || behind_number(before) {
            let units: Vec<&str> = symbols()
                .filter(|unit| offered(unit, word))
                .map(Symbol::shown)
                .collect();
            let exact = units.iter().any(|unit| unit.starts_with(word));
            let fits = |unit: &&&str| !exact || unit.starts_with(word);
            units
                .iter()
                .filter(fits)
                .for_each(|unit| offer(unit, (*unit).to_owned()));
            return pairs;
        }
        let verb = before.split_whitespace().next().unwrap_or("");
        match verb {
            "" => {
                let verbs = VERBS.iter().filter(|verb| verb.typed.is_some()).map(|verb| verb.name);
                verbs.for_each(|verb| offer(verb, verb.to_owned()));
                openings()
                    .filter(|word| *word != "case")
                    .for_each(|word| offer(word, format!("{word} ")));
            }
            "case" => {
                offer("base", "base".to_owned());
                self.cases.iter().for_each(|case| offer(case, case.clone()));
                return pairs;
            }
            "show" => self.sections.iter().for_each(|section| offer(section, section.clone())),
            "help" => VERBS.iter().for_each(|verb| offer(verb.name, verb.name.to_owned())),
            _ => {}
        }
        if let Some(call) = open_call(before) {
            parameters(&call)
                .iter()
                .for_each(|name| offer(name, format!("{name}: ")));
        }
        self.names
            .iter()
            .chain(&self.columns)
            .for_each(|name| offer(name, name.clone()));
        self.rules.iter().for_each(|(name, _)| offer(name, format!("{name}(")));
        functions().for_each(|function| offer(function.name, format!("{}(", function.name)));
        pairs.dedup_by(|one, other| one.replacement == other.replacement);
        pairs
    }
}

/// Whether a unit is worth offering: there are many currencies, and few are meant.
fn offered(unit: &Symbol, word: &str) -> bool {
    !unit.is_currency() || word.chars().count() > 1
}

/// A rule's name with its parameters as they are written.
fn rule_head(session: &Session, name: &str, item: u32) -> Option<(String, String)> {
    let text = session.sheet().tree().text_of(item as usize);
    let from = text.find('(')?;
    let to = text.find('=').map(|equals| text.get(..equals)).unwrap_or(Some(text))?;
    let to = to.rfind(')').map_or(to.len(), |close| close + 1);
    Some((name.to_owned(), format!("{name}{}", text.get(from..to)?)))
}

/// Whether what stands before opens a bracket that isn't closed.
fn in_brackets(before: &str) -> bool {
    before.rfind('[') > before.rfind(']')
}

/// Whether a number stands right before, so that a unit may follow.
fn behind_number(before: &str) -> bool {
    let trimmed = before.trim_end();
    let last = trimmed
        .rsplit(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '_')))
        .next()
        .unwrap_or("");
    let ahead = trimmed.get(..trimmed.len() - last.len()).unwrap_or("");
    last.starts_with(|c: char| c.is_ascii_digit()) && !ahead.ends_with(|c: char| c.is_alphanumeric() || c == '_')
}

/// The name before the parenthesis that is open at the end.
fn open_call(before: &str) -> Option<String> {
    let mut open = Vec::new();
    for (at, c) in before.char_indices() {
        match c {
            '(' => open.push(at),
            ')' => {
                open.pop();
            }
            _ => {}
        }
    }
    let ahead = before.get(..open.pop()?)?;
    let start = ahead.rfind(|c: char| !(c.is_alphanumeric() || c == '_'));
    let start = start.map_or(0, |at| {
        at + ahead
            .get(at..)
            .and_then(|rest| rest.chars().next())
            .map_or(1, char::len_utf8)
    });
    let name = ahead.get(start..).filter(|name| !name.is_empty())?;
    Some(name.to_owned())
}

fn parameters(call: &str) -> Vec<&'static str> {
    let parameters = function(call).map_or(&[][..], |function| function.parameters);
    parameters.iter().map(|parameter| parameter.name).collect()
}

/// Where the word that ends at the cursor begins.
fn word_start(line: &str) -> usize {
    let is_word = |c: char| c.is_alphanumeric() || matches!(c, '_' | '.' | '°' | '%' | '$');
    let start = line.rfind(|c: char| !is_word(c));
    let start = start.map_or(0, |at| {
        at + line
            .get(at..)
            .and_then(|rest| rest.chars().next())
            .map_or(1, char::len_utf8)
    });
    let word = line.get(start..).unwrap_or("");
    // `20lb`: the unit begins behind the digits.
    let digits = word.len() - word.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.').len();
    start + digits
}

impl Completer for Assistant {
    type Candidate = Pair;

    fn complete(&self, line: &str, pos: usize, _: &Context<'_>) -> rustyline::Result<(usize, Vec<Pair>)> {
        let typed = line.get(..pos).unwrap_or(line);
        let start = match typed.strip_prefix("show ") {
            Some(_) => "show ".len(),
            None => word_start(typed),
        };
        let (before, word) = typed.split_at_checked(start).unwrap_or((typed, ""));
        Ok((start, self.candidates(before, word)))
    }
}

/// What is shown behind the line; it can't be taken over.
struct Reminder(String);

impl Hint for Reminder {
    fn display(&self) -> &str {
        &self.0
    }

    fn completion(&self) -> Option<&str> {
        None
    }
}

impl Hinter for Assistant {
    type Hint = Reminder;

    fn hint(&self, line: &str, pos: usize, _: &Context<'_>) -> Option<Reminder> {
        if pos < line.len() {
            return None;
        }
        let call = open_call(line)?;
        let rule = || {
            self.rules
                .iter()
                .find(|(name, _)| *name == call)
                .map(|(_, head)| head.clone())
        };
        let head = function(&call).map(signature).or_else(rule)?;
        Some(Reminder(format!("   {head}")))
    }
}

impl Highlighter for Assistant {
    fn highlight_hint<'h>(&self, hint: &'h str) -> Cow<'h, str> {
        match std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty()) {
            true => Cow::Borrowed(hint),
            false => Cow::Owned(format!("\u{1b}[2m{hint}\u{1b}[0m")),
        }
    }
}

impl Validator for Assistant {}

impl Helper for Assistant {}
