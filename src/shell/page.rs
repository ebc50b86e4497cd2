//! A worksheet in a browser: one more shell on the session.
//!
//! The program answers on its own machine alone, at an address with a secret part. A line that a
//! page sends is answered as if it were typed, by the same [`Conversation`]; the page gets what
//! was said with its two pieces as they stand then. Who may come in is settled in [`gate`], what
//! a page sees in [`board`]. Start reading at [`serve`].

mod board;
mod gate;
mod requests;
mod rooms;

use std::cell::RefCell;
use std::io::{self, Write};
use std::net::{IpAddr, Ipv4Addr};
use std::panic::{self, Location};
use std::path::PathBuf;
use std::rc::Rc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::{Duration, SystemTime};

use tiny_http::Server;

use crate::report::live::Live;
use crate::report::style::{Letters, Style};
use crate::session::Session;
use crate::session::studies::study_verb;
use crate::session::verbs::typed_verb;
use crate::syntax::openings;
use crate::text::first_word;

use super::conversation::{Conversation, Lines, Reply};
use super::interactive::state_folder;
use super::output::Output;
use super::progress::Progress;
use super::{USAGE, WELL};

use board::Answer;
use gate::{Gate, network_address};
use rooms::{Room, Rooms};

/// How often the files are looked at.
const TICK: Duration = Duration::from_millis(400);
/// How soon it is looked again whether draws can be made.
const MOMENT: Duration = Duration::from_millis(50);
/// Draws are made for one room at a time, so that they never stand in the way of answers.
static DRAWING: Mutex<()> = Mutex::new(());
/// The columns that a telephone shows.
const COLUMNS: usize = 44;

/// How a page is asked for.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct PageAsked {
    /// The worksheet; none is the built-in one.
    pub file: Option<PathBuf>,
    /// `--port`; none takes a free one.
    pub port: Option<u16>,
    /// `--class`
    pub class: bool,
}

/// Shows a worksheet in a browser until the program is ended.
///
/// # Errors
/// Those of standard output.
pub(super) fn serve(session: Session, asked: &PageAsked, output: &mut Output) -> io::Result<u8> {
    let network = asked.class.then(network_address).flatten();
    let host = if asked.class { "0.0.0.0" } else { "127.0.0.1" };
    let port = asked.port.unwrap_or(0);
    let server = match Server::http((host, port)) {
        Ok(server) => server,
        Err(trouble) => {
            let message = format!("a page can't be shown at port {port}: {trouble}");
            output.complain(&message, Some("leave out `--port`, and a free one is taken"))?;
            return Ok(USAGE);
        }
    };
    let (ask, lines) = channel();
    let room = Arc::new(Room::new(ask));
    let port = server.server_addr().to_ip().map_or(port, |address| address.port());
    let host = format!("{}:{port}", network.unwrap_or(IpAddr::V4(Ipv4Addr::LOCALHOST)));
    let class = asked.file.as_deref().filter(|_| asked.class);
    let rooms = Rooms::new(Arc::clone(&room), class.map(|file| (file, host.as_str())));
    let Some(rooms) = rooms.map(Arc::new) else {
        output.complain("no secret address can be made on this machine", None)?;
        return Ok(USAGE);
    };
    output.print(&told(session.name(), &rooms, port, network))?;
    output.flush()?;
    let gate = Arc::new(Gate::at(port, network));
    let served = Arc::clone(&rooms);
    quiet_server();
    thread::spawn(move || requests::answer_all(server, &gate, &served));
    talk(session, Page::of_holder(lines, room, rooms), Some(state_folder()))?;
    Ok(WELL)
}

/// A server that has no room for one more connection ends by a panic; it is begun anew, and a
/// terminal need not hear of it.
fn quiet_server() {
    let usual = panic::take_hook();
    panic::set_hook(Box::new(move |panicked| {
        let place = panicked.location().map_or("", Location::file);
        if !place.contains("tiny_http") {
            usual(panicked);
        }
    }));
}

/// Where the page is, and for whom.
fn told(name: &str, rooms: &Rooms, port: u16, network: Option<IpAddr>) -> String {
    let own = format!(
        "{name} is shown at\n\n  http://127.0.0.1:{port}/{}/\n\nfor this machine alone, with `?wall` behind it large enough for a wall. Ctrl-C ends it;\n\
         what is not saved then is kept, and `tarebook open` offers it.\n",
        rooms.secret()
    );
    let class = rooms.class_address().map(|address| {
        let where_from = match network {
            Some(_) => "Pupils in the same network",
            None => "This machine is in no network. Pupils on it",
        };
        format!(
            "\n{where_from} come in at\n\n  {address}\n\neach with trials of their own; \
             nothing that they do is written.\n"
        )
    });
    own + &class.unwrap_or_default()
}

/// Talks about a worksheet with whoever sends lines; with a journal in this folder, or none.
fn talk(mut session: Session, mut lines: Page, journal: Option<Option<PathBuf>>) -> io::Result<()> {
    let style = Style {
        colour: false,
        width: COLUMNS,
        letters: Letters::Drawn,
    };
    session.draw_later();
    let mut written = lines.said.clone();
    let conversation = Conversation::new(session, &mut lines, &mut written, style);
    match journal {
        Some(state) => conversation.with_journal(state).run(),
        None => conversation.run(),
    }
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

/// Lines that pages send to one session.
struct Page {
    asked: Receiver<Asked>,
    room: Arc<Room>,
    said: Said,
    waits: Option<Sender<Answer>>,
    /// All that are served.
    rooms: Arc<Rooms>,
    /// A pupil's place among them.
    pupil: Option<String>,
    /// How the worksheet's file stood when it was looked at last.
    stamp: Option<(u64, Option<SystemTime>)>,
    /// Whether another session or page was known to have the worksheet open.
    others: bool,
    /// Whether it was told that the file went on while something here is not saved.
    held_back: bool,
    /// Whether what only draws can say is still to come.
    to_draw: bool,
}

impl Lines for Page {
    fn read(&mut self, prompt: &str, _: &str, session: &mut Session) -> io::Result<Reply> {
        // a page sends whole lines: whatever asks for more is told no more
        if matches!(prompt, "more> " | "edit> ") || !prompt.ends_with("> ") {
            return Ok(Reply::BrokenOff);
        }
        let live = session.live();
        self.room.board.show(session.name(), &live);
        self.take_down(session, live);
        let told = self.said.take();
        match self.waits.take() {
            // who asked may have gone
            Some(waits) => drop(waits.send(Answer::told(told))),
            None => self.room.board.notice(told),
        }
        self.to_draw = true;
        loop {
            self.draw(session);
            match self.asked.recv_timeout(if self.to_draw { MOMENT } else { TICK }) {
                Ok(asked) => {
                    self.room.taken_up();
                    match self.beside(&asked.line, session) {
                        Some(answer) => drop(asked.answer.send(answer)),
                        None => {
                            self.waits = Some(asked.answer);
                            return Ok(Reply::Line(asked.line));
                        }
                    }
                }
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
    fn of_holder(asked: Receiver<Asked>, room: Arc<Room>, rooms: Arc<Rooms>) -> Page {
        Page {
            asked,
            room,
            said: Said::default(),
            waits: None,
            rooms,
            pupil: None,
            stamp: None,
            others: false,
            held_back: false,
            to_draw: true,
        }
    }

    fn of_pupil(asked: Receiver<Asked>, room: Arc<Room>, rooms: Arc<Rooms>, place: String) -> Page {
        Page {
            pupil: Some(place),
            ..Page::of_holder(asked, room, rooms)
        }
    }

    /// Makes the draws that are to come, unless somebody else does or a line comes in between.
    fn draw(&mut self, session: &mut Session) {
        if !self.to_draw {
            return;
        }
        let Ok(_alone) = DRAWING.try_lock() else { return };
        let room = &self.room;
        if session.draw_what_shows(&|_: usize, _: usize| room.is_quiet()) {
            self.to_draw = false;
            let live = session.live();
            self.room.board.show_drawn(&live);
            self.take_down(session, live);
        }
    }

    /// A pupil's standing is told to the class's holder; the holder is told that it is open.
    fn take_down(&self, session: &Session, live: Live) {
        match &self.pupil {
            Some(place) => self.rooms.stands(place, session, live.report),
            None => self.rooms.opened(session),
        }
    }

    /// What to do where the worksheet's file or a table's went on: it is read again, unless that
    /// would put something aside.
    fn went_on(&mut self, session: &mut Session) -> Option<String> {
        let others = self.pupil.is_none() && session.is_in_other_hands();
        if others && !self.others {
            self.room.board.notice(session.told_in_hand());
        }
        let stamp = session.file_stamp();
        if stamp != self.stamp {
            self.stamp = stamp;
            let who = match others || self.others {
                true => "Another session or page saved this file",
                false => "An editor or another program changed this file",
            };
            let went_on = session.file_went_on();
            if went_on && !session.unsaved() {
                // what it comes to stands below
                let _ = writeln!(self.said, "{who}.");
                return Some("reload".to_owned());
            }
            if !std::mem::replace(&mut self.held_back, went_on) && went_on {
                let told = format!(
                    "{who}, and something here is not saved: `reload` takes what is in the file, `save over` what is here."
                );
                self.room.board.notice(told);
            }
        }
        self.others = others;
        if let Some(noticed) = session.notice_files() {
            self.to_draw = true;
            self.room.board.show(session.name(), &session.live());
            self.room.board.notice(noticed.told.join(". "));
        }
        None
    }

    /// What is answered without being talked about: studies, as a piece of a page, and what a
    /// page or a pupil can't do.
    fn beside(&mut self, line: &str, session: &mut Session) -> Option<Answer> {
        if Session::is_trial(line) {
            return None;
        }
        let (word, rest) = first_word(line.trim());
        let refused = match word {
            "quit" => Some("The page ends where it was begun, with Ctrl-C."),
            "edit" => Some("Change it in its field, or type its whole line."),
            "case" if !session.given().is_empty() => Some("In a class the numbers of a lesson stay as they are."),
            _ if self.pupil.is_some() && !may_be_asked(word, rest) => {
                Some("In a class values are tried and asked about; the worksheet stays as it is.")
            }
            _ => None,
        };
        if let Some(told) = refused {
            return Some(Answer::told(told.to_owned()));
        }
        if matches!(word, "show" | "check") && self.to_draw {
            // these tell what draws say
            self.to_draw = !session.draw_what_shows(&Progress::begin());
        }
        let known = study_verb(word).filter(|_| !rest.contains("--format"))?;
        let asked = known.typed(rest).ok()?;
        let found = (known.find)(session, &asked, &Progress::begin()).ok()?;
        Some(Answer::page(found.fragment(asked.all || asked.get("depth").is_some())))
    }
}

/// What a pupil may do beside trying values: nothing that writes, or reads another file.
fn may_be_asked(word: &str, rest: &str) -> bool {
    const ASKED: [&str; 14] = [
        "show",
        "check",
        "why",
        "doubt",
        "sweep",
        "aim",
        "compare",
        "leeway",
        "trials",
        "drop",
        "undo",
        "redo",
        "units",
        "functions",
    ];
    let is_case = word == "case" && !rest.contains(char::is_whitespace);
    let is_expression = typed_verb(word).is_none() && !openings().any(|opening| opening == word);
    is_case || is_expression || ASKED.contains(&word)
}
