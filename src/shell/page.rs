//! A worksheet in a browser: one more shell on the session.
//!
//! The program answers on its own machine alone, at an address with a secret part. A line that a
//! page sends is answered as if it were typed, by the same [`Conversation`]; the page gets what
//! was said with its two pieces as they stand then. Who may come in is settled in [`gate`], what
//! a page sees in [`board`]. Start reading at [`serve`].

mod board;
mod gate;
mod requests;

use std::cell::RefCell;
use std::io::{self, Write};
use std::rc::Rc;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread;
use std::time::{Duration, SystemTime};

use tiny_http::Server;

use crate::report::style::{Letters, Style};
use crate::session::Session;
use crate::session::studies::study_verb;
use crate::text::first_word;

use super::conversation::{Conversation, Lines, Reply};
use super::interactive::state_folder;
use super::output::Output;
use super::progress::Progress;
use super::{USAGE, WELL};

use board::{Answer, Board};
use gate::Gate;

/// How often the files are looked at.
const TICK: Duration = Duration::from_millis(400);
/// The columns that a telephone shows.
const COLUMNS: usize = 44;

/// Shows a worksheet in a browser until the program is ended.
///
/// # Errors
/// Those of standard output.
pub(super) fn serve(session: Session, port: u16, output: &mut Output) -> io::Result<u8> {
    let server = match Server::http(("127.0.0.1", port)) {
        Ok(server) => server,
        Err(trouble) => {
            let message = format!("a page can't be shown at port {port}: {trouble}");
            output.complain(&message, Some("leave out `--port`, and a free one is taken"))?;
            return Ok(USAGE);
        }
    };
    let gate = server
        .server_addr()
        .to_ip()
        .and_then(|address| Gate::at(address.port()));
    let Some(gate) = gate.map(Arc::new) else {
        output.complain("no secret address can be made on this machine", None)?;
        return Ok(USAGE);
    };
    output.print(&format!(
        "{} is shown at\n\n  {}\n\nfor this machine alone, with `?wall` behind it large enough for a wall. Ctrl-C ends it;\nwhat is not saved then is kept, and `tarebook open` offers it.\n",
        session.name(),
        gate.address()
    ))?;
    output.flush()?;
    let board = Arc::new(Board::default());
    let (ask, asked) = channel();
    let shown = Arc::clone(&board);
    thread::spawn(move || requests::answer_all(&server, &gate, &shown, &ask));
    let said = Said::default();
    let mut lines = Page {
        asked,
        board,
        said: said.clone(),
        waits: None,
        stamp: session.file_stamp(),
        held_back: false,
    };
    let style = Style {
        colour: false,
        width: COLUMNS,
        letters: Letters::Drawn,
    };
    let mut written = said;
    Conversation::new(session, &mut lines, &mut written, style)
        .with_journal(state_folder())
        .run()?;
    Ok(WELL)
}

/// A line that a page sent, and where its answer goes.
pub(super) struct Asked {
    line: String,
    answer: Sender<Answer>,
}

/// What the conversation says, until it is passed on.
#[derive(Clone, Default)]
struct Said(Rc<RefCell<Vec<u8>>>);

impl Said {
    fn take(&self) -> String {
        String::from_utf8_lossy(&self.0.take()).trim_end().to_owned()
    }
}

impl Write for Said {
    fn write(&mut self, text: &[u8]) -> io::Result<usize> {
        self.0.borrow_mut().extend_from_slice(text);
        Ok(text.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// Lines that pages send.
struct Page {
    asked: Receiver<Asked>,
    board: Arc<Board>,
    said: Said,
    waits: Option<Sender<Answer>>,
    /// How the worksheet's file stood when it was looked at last.
    stamp: Option<(u64, Option<SystemTime>)>,
    /// Whether it was told that the file went on while something here is not saved.
    held_back: bool,
}

impl Lines for Page {
    fn read(&mut self, prompt: &str, _: &str, session: &mut Session) -> io::Result<Reply> {
        // a page sends whole lines: whatever asks for more is told no more
        if matches!(prompt, "more> " | "edit> ") || !prompt.ends_with("> ") {
            return Ok(Reply::BrokenOff);
        }
        self.board.show(session.name(), &session.live());
        let told = self.said.take();
        match self.waits.take() {
            // who asked may have gone
            Some(waits) => drop(waits.send(Answer::told(told))),
            None => self.board.notice(told),
        }
        loop {
            match self.asked.recv_timeout(TICK) {
                Ok(asked) => match beside(&asked.line, session) {
                    Some(answer) => drop(asked.answer.send(answer)),
                    None => {
                        self.waits = Some(asked.answer);
                        return Ok(Reply::Line(asked.line));
                    }
                },
                Err(RecvTimeoutError::Timeout) => {
                    if let Some(line) = self.went_on(session) {
                        return Ok(Reply::Line(line));
                    }
                }
                Err(RecvTimeoutError::Disconnected) => return Ok(Reply::End),
            }
        }
    }

    fn is_terminal(&self) -> bool {
        false
    }

    fn wants_first_screen(&self) -> bool {
        false
    }
}

impl Page {
    /// What to do where the worksheet's file or a table's went on: it is read again, unless that
    /// would put something aside.
    fn went_on(&mut self, session: &mut Session) -> Option<String> {
        let stamp = session.file_stamp();
        if stamp != self.stamp {
            self.stamp = stamp;
            if session.file_went_on() && !session.unsaved() {
                return Some("reload".to_owned());
            }
            if session.file_went_on() && !std::mem::replace(&mut self.held_back, true) {
                let told = "The file was changed elsewhere, and something here is not saved: `reload` takes what is \
                            in the file, `save over` what is here.";
                self.board.notice(told.to_owned());
            }
        }
        if let Some(noticed) = session.notice_files() {
            self.board.show(session.name(), &session.live());
            self.board.notice(noticed.told.join(". "));
        }
        None
    }
}

/// What is answered without being talked about: studies, as a piece of a page, and what only a
/// terminal can do.
fn beside(line: &str, session: &mut Session) -> Option<Answer> {
    let (word, rest) = first_word(line.trim());
    if matches!(word, "quit" | "edit") && !Session::is_trial(line) {
        let told = match word {
            "quit" => "The page ends where it was begun, with Ctrl-C.",
            _ => "Change it in its field, or type its whole line.",
        };
        return Some(Answer::told(told.to_owned()));
    }
    let known = study_verb(word).filter(|_| !Session::is_trial(line) && !rest.contains("--format"))?;
    let asked = known.typed(rest).ok()?;
    let found = (known.find)(session, &asked, &Progress::begin()).ok()?;
    Some(Answer::page(found.fragment(asked.all || asked.get("depth").is_some())))
}
