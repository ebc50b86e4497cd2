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
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use rustyline::completion::{Completer, Pair};
use rustyline::error::ReadlineError;
use rustyline::highlight::Highlighter;
use rustyline::hint::{Hint, Hinter};
use rustyline::history::FileHistory;
use rustyline::validate::Validator;
use rustyline::{
    Cmd, CompletionType, ConditionalEventHandler, Config, Context, Editor, Event, EventContext, EventHandler, Helper,
    KeyCode, KeyEvent, Modifiers, RepeatCount,
};

use crate::session::Session;
use crate::session::completion::{Typing, Vocabulary, offers, open_signature, word_start};

use super::conversation::{LONGEST_LINE, Lines, Reply};

/// So many lines are remembered.
const HISTORY: usize = 2000;

/// Lines typed at a terminal.
pub(super) struct Terminal {
    editor: Editor<Assistant, FileHistory>,
    history: Option<PathBuf>,
    /// How many letters of the line were typed one by one.
    letters: Arc<AtomicUsize>,
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
        editor.bind_sequence(
            KeyEvent(KeyCode::Enter, Modifiers::ALT),
            EventHandler::Conditional(Box::new(NewRow)),
        );
        let letters = Arc::new(AtomicUsize::new(0));
        let full = Full(Arc::clone(&letters));
        editor.bind_sequence(Event::Any, EventHandler::Conditional(Box::new(full)));
        let history = history_file();
        if let Some(path) = &history {
            // A history that can't be read is no reason not to begin; it stays beside a new one.
            if editor.load_history(path).is_err() && path.is_file() {
                let _ = fs::rename(path, path.with_extension("unread"));
            }
        }
        Ok(Terminal {
            editor,
            history,
            letters,
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
    fn read(&mut self, prompt: &str, initial: &str, session: &mut Session) -> io::Result<Reply> {
        self.read_between(prompt, (initial, ""), session)
    }

    fn read_between(&mut self, prompt: &str, initial: (&str, &str), session: &mut Session) -> io::Result<Reply> {
        if self.words_of.as_deref() != Some(session.sheet().text()) {
            self.words_of = Some(session.sheet().text().to_owned());
            self.editor.set_helper(Some(Assistant::of(session)));
        }
        self.letters.store(0, Ordering::Relaxed);
        match self.editor.readline_with_initial(prompt, initial) {
            Ok(_) if self.letters.load(Ordering::Relaxed) > MOST_TYPED => Ok(Reply::TooLong(MOST_TYPED)),
            Ok(line) if line.len() > LONGEST_LINE => Ok(Reply::TooLong(LONGEST_LINE)),
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

/// Alt-Enter begins a new line; between bars, a new row.
struct NewRow;

impl ConditionalEventHandler for NewRow {
    fn handle(&self, _: &Event, _: RepeatCount, _: bool, context: &EventContext<'_>) -> Option<Cmd> {
        let is_table = context.line().lines().any(|line| line.trim_start().starts_with('|'));
        Some(match is_table {
            true => Cmd::Insert(1, "\n  | ".to_owned()),
            false => Cmd::Newline,
        })
    }
}

/// So many letters of a line are taken that are typed one by one: for each the line is drawn anew.
const MOST_TYPED: usize = 8 * 1024;

/// Counts the letters that are typed, and lets those go for which there is no room.
struct Full(Arc<AtomicUsize>);

impl ConditionalEventHandler for Full {
    fn handle(&self, event: &Event, _: RepeatCount, _: bool, context: &EventContext<'_>) -> Option<Cmd> {
        let KeyEvent(KeyCode::Char(_), modifiers) = event.get(0)? else {
            return None;
        };
        if !(*modifiers - Modifiers::SHIFT).is_empty() {
            return None;
        }
        if context.line().is_empty() {
            self.0.store(0, Ordering::Relaxed);
        }
        let typed = self.0.fetch_add(1, Ordering::Relaxed);
        (typed >= MOST_TYPED).then_some(Cmd::Noop)
    }
}

/// What completes and hints.
struct Assistant {
    known: Vocabulary,
}

impl Assistant {
    fn of(session: &Session) -> Assistant {
        Assistant {
            known: Vocabulary::of(session.sheet()),
        }
    }
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
        let offers = offers(&self.known, Typing::Line, before, word).into_iter();
        let pairs = offers.map(|offer| Pair {
            display: offer.shown,
            replacement: offer.put,
        });
        Ok((start, pairs.collect()))
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
        let head = open_signature(&self.known, line)?.head;
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
