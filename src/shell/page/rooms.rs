//! Who has which session: the holder of the page, and in a class each pupil one of their own.
//!
//! The holder's address has a long secret, that of a class six letters that can be read from a
//! wall. A pupil's session is opened anew from the file and writes nothing. Start reading at
//! [`Rooms::way`].

use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{Sender, channel};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread;

use crate::report::compose::Options;
use crate::report::compose::class::Class as Marks;
use crate::report::live::class::{Pupil, marked, rows, standing};
use crate::report::model::Report;
use crate::report::study::{Found, Written};
use crate::session::Session;
use crate::study::class::Class as Marked;

use super::board::Board;
use super::gate::letters;
use super::{Asked, Page, talk};

/// So many pupils have room.
const MOST: usize = 60;
/// So long a name is, in letters.
const LONGEST: usize = 40;

/// A session as requests see it: what it shows, and where its lines go.
pub(super) struct Room {
    pub(super) board: Board,
    ask: Sender<Asked>,
    /// So many lines wait.
    waiting: AtomicUsize,
}

impl Room {
    pub(super) fn new(ask: Sender<Asked>) -> Room {
        Room {
            board: Board::default(),
            ask,
            waiting: AtomicUsize::new(0),
        }
    }

    /// Whether nobody waits for an answer.
    pub(super) fn is_quiet(&self) -> bool {
        self.waiting.load(Ordering::SeqCst) == 0
    }

    /// Sends a line to its session; false where that has ended.
    pub(super) fn send(&self, asked: Asked) -> bool {
        self.waiting.fetch_add(1, Ordering::SeqCst);
        self.ask.send(asked).is_ok()
    }

    /// A line was taken up.
    pub(super) fn taken_up(&self) {
        self.waiting.fetch_sub(1, Ordering::SeqCst);
    }
}

/// Every session of a page.
pub(super) struct Rooms {
    secret: String,
    holder: Arc<Room>,
    class: Option<Class>,
}

struct Class {
    /// Where pupils come in, with the letters at its end.
    address: String,
    letters: String,
    file: PathBuf,
    pupils: Mutex<Vec<Seat>>,
    /// The marks of all, where the worksheet has exercises.
    marks: Mutex<Option<Found<Marks>>>,
}

/// A pupil with the room that is theirs.
struct Seat {
    token: String,
    pupil: Pupil,
    /// How their answers are marked.
    marked: Option<Marked>,
    room: Arc<Room>,
}

/// Where a path leads.
pub(super) enum Way<'a> {
    /// To the holder's session, and what is asked of it.
    Holder(&'a str),
    /// To a pupil's.
    Pupil(Arc<Room>, &'a str),
    /// To where pupils say their names.
    Door(&'a str),
}

impl Rooms {
    /// The holder's room, with a class where there is one, on a file and at a host; `None` where
    /// nothing random is to be had.
    pub(super) fn new(holder: Arc<Room>, class: Option<(&Path, &str)>) -> Option<Rooms> {
        let open = |(file, host): (&Path, &str)| {
            let letters = letters(6)?;
            Some(Class {
                address: format!("http://{host}/{letters}/"),
                letters,
                file: file.to_owned(),
                pupils: Mutex::default(),
                marks: Mutex::default(),
            })
        };
        Some(Rooms {
            secret: letters(24)?,
            holder,
            class: match class {
                Some(class) => Some(open(class)?),
                None => None,
            },
        })
    }

    /// What stands behind the host in the holder's address.
    pub(super) fn secret(&self) -> &str {
        &self.secret
    }

    /// The class's address.
    pub(super) fn class_address(&self) -> Option<&str> {
        self.class.as_ref().map(|class| class.address.as_str())
    }

    /// The holder's room.
    pub(super) fn holder(&self) -> &Room {
        &self.holder
    }

    /// Where a path leads that stands behind the host.
    pub(super) fn way<'a>(&self, path: &'a str) -> Option<Way<'a>> {
        let (first, below) = path.split_once('/')?;
        if is_same(&self.secret, first) {
            return Some(Way::Holder(below));
        }
        let class = self.class.as_ref().filter(|class| is_same(&class.letters, first))?;
        let Some((token, below)) = below.split_once('/') else {
            return Some(Way::Door(below));
        };
        let seats = class.seats();
        let seat = seats.iter().find(|seat| is_same(&seat.token, token))?;
        Some(Way::Pupil(Arc::clone(&seat.room), below))
    }

    /// Lets a pupil in; gives back what stands behind the class's letters in their address.
    ///
    /// # Errors
    /// In words, why not.
    pub(super) fn join(self: &Arc<Self>, name: &str) -> Result<String, &'static str> {
        let class = self.class.as_ref().ok_or("There is no class.")?;
        let name: String = name.trim().chars().filter(|c| !c.is_control()).take(LONGEST).collect();
        if name.is_empty() {
            return Err("A name is needed.");
        }
        let called = name.clone();
        let token = letters(24).ok_or("No address can be made.")?;
        let (ask, asked) = channel();
        let room = Arc::new(Room::new(ask));
        {
            let mut seats = class.seats();
            if seats.len() >= MOST {
                return Err("The class is full.");
            }
            if seats.iter().any(|seat| seat.pupil.name == name) {
                return Err("Somebody has that name already: add a letter, or come back in the browser that you had.");
            }
            seats.push(Seat {
                token: token.clone(),
                pupil: Pupil {
                    name,
                    ..Pupil::default()
                },
                marked: None,
                room: Arc::clone(&room),
            });
        }
        let (rooms, file, place) = (Arc::clone(self), class.file.clone(), token.clone());
        let work = move || -> io::Result<()> {
            let Ok(mut session) = Session::open(&file, Options::default()) else {
                return Ok(());
            };
            session.hand_to(&called);
            talk(session, Page::of_pupil(asked, room, rooms, place), None)
        };
        match thread::Builder::new().spawn(work) {
            Ok(_) => Ok(token),
            Err(_) => Err("The class is full."),
        }
    }

    /// Takes down how a pupil stands, and shows the class to its holder.
    pub(super) fn stands(&self, token: &str, session: &Session, report: Report) {
        let Some(class) = &self.class else { return };
        let name = class
            .seats()
            .iter()
            .find(|seat| seat.token == token)
            .map(|seat| seat.pupil.name.clone());
        let marked = name.map(|name| session.marked(&name));
        let mut seats = class.seats();
        if let Some(seat) = seats.iter_mut().find(|seat| seat.token == token) {
            seat.pupil.checks = report.checks;
            seat.pupil.trials = report.trials;
            seat.marked = marked;
        }
        drop(seats);
        self.show_class(class, session);
    }

    /// Shows a class to its holder into which nobody has come yet.
    pub(super) fn opened(&self, session: &Session) {
        let empty = |class: &&Class| class.seats().is_empty();
        if let Some(class) = self.class.as_ref().filter(empty) {
            self.show_class(class, session);
        }
    }

    fn show_class(&self, class: &Class, session: &Session) {
        let seats = class.seats();
        let pupils: Vec<Pupil> = seats.iter().map(|seat| seat.pupil.clone()).collect();
        let marks = seats.iter().filter_map(|seat| seat.marked.clone()).collect();
        drop(seats);
        let marks = session.class_of(marks);
        let told = match &marks {
            Some(marks) => marked(&class.address, &marks.study.tally(), &marks.fragment(true)),
            None => standing(&class.address, &pupils),
        };
        *class.marks.lock().unwrap_or_else(PoisonError::into_inner) = marks;
        self.holder.board.show_class(told);
    }

    /// Who tried what and which checks hold, as comma-separated rows.
    pub(super) fn marks(&self) -> Vec<u8> {
        let Some(class) = &self.class else { return Vec::new() };
        if let Some(marks) = &*class.marks.lock().unwrap_or_else(PoisonError::into_inner) {
            let mut written = Vec::new();
            return marks.csv(&mut written).map(|()| written).unwrap_or_default();
        }
        let pupils: Vec<Pupil> = class.seats().iter().map(|seat| seat.pupil.clone()).collect();
        rows(&pupils)
    }
}

impl Class {
    fn seats(&self) -> MutexGuard<'_, Vec<Seat>> {
        self.pupils.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Compared whole, so that the time it takes tells nothing.
fn is_same(known: &str, told: &str) -> bool {
    let differs = |(one, other): (u8, u8)| one ^ other;
    let differing = known
        .bytes()
        .zip(told.bytes())
        .map(differs)
        .fold(0, |all, one| all | one);
    known.len() == told.len() && differing == 0
}
