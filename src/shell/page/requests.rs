//! Requests of browsers, answered one thread each, so many at a time.
//!
//! Start reading at [`answer_all`].

use std::io::{Cursor, Read};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::channel;
use std::thread;
use std::time::Duration;

use tiny_http::{Header, Method, Request, Response, Server};

use crate::report::live::{SCRIPT, door, whole};

use super::Asked;
use super::gate::Gate;
use super::rooms::{Room, Rooms, Way};

/// So many requests are answered at a time.
const MOST: usize = 160;
/// So long a line may be, in bytes.
const LONGEST: u64 = 65_536;
/// How long a page is kept waiting for something new.
const NEWS: Duration = Duration::from_secs(20);
/// How long a line may take, beyond the time that its run has.
const PATIENCE: Duration = Duration::from_secs(120);

/// What a page may do: nothing but ask here.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; script-src 'self'; connect-src 'self'; base-uri 'none'; \
form-action 'none'; frame-ancestors 'none'";

type Bytes = Response<Cursor<Vec<u8>>>;

/// How often it is looked whether the server still stands, while nobody asks.
const BEAT: Duration = Duration::from_millis(500);
/// How often a connection that was left over gets its turn.
const TURN: Duration = Duration::from_millis(100);
/// So many threads of the server wait from the beginning.
const WAITING: usize = 4;

/// Answers requests as long as the program runs.
///
/// A server ends without a word when there is no room for one more connection: its place is free
/// then, and whoever can take it begins a server there anew.
pub(super) fn answer_all(server: Server, gate: &Arc<Gate>, rooms: &Arc<Rooms>) {
    let Some(place) = server.server_addr().to_ip() else {
        return;
    };
    let at_work = Arc::new(AtomicUsize::new(0));
    let mut serving = (server, taken_up(place));
    thread::spawn(move || keep_moving(place));
    loop {
        if let Ok(Some(request)) = serving.0.recv_timeout(BEAT) {
            answer_beside(request, gate, rooms, &at_work);
        } else if let Ok(listener) = TcpListener::bind(place)
            && let Ok(anew) = Server::from_listener(listener, None)
        {
            serving = (anew, taken_up(place));
        }
    }
}

/// Connections that say nothing, one for each thread that the server has waiting from the beginning.
///
/// It gives a connection a thread of its own unless one waits. Of several that come at once, before
/// those that wait have woken, more are given to them than they are, and the rest is left over as
/// long as the others stay; browsers keep theirs. With nobody waiting each has its own.
fn taken_up(place: SocketAddr) -> Vec<TcpStream> {
    (0..WAITING).filter_map(|_| come_in(place)).collect()
}

/// Threads that answered and wait a while for more can still be given too much: what is left over
/// gets its turn when one more connection has come and gone.
fn keep_moving(place: SocketAddr) {
    loop {
        thread::sleep(TURN);
        drop(come_in(place));
    }
}

fn come_in(place: SocketAddr) -> Option<TcpStream> {
    let own = SocketAddr::from((Ipv4Addr::LOCALHOST, place.port()));
    TcpStream::connect_timeout(&own, BEAT).ok()
}

/// Answers a request in a thread of its own, unless too many are at work.
fn answer_beside(request: Request, gate: &Arc<Gate>, rooms: &Arc<Rooms>, at_work: &Arc<AtomicUsize>) {
    if at_work.fetch_add(1, Ordering::SeqCst) >= MOST {
        at_work.fetch_sub(1, Ordering::SeqCst);
        let _ = request.respond(refused(503, "Too many at a time."));
        return;
    }
    let (gate, rooms, done) = (Arc::clone(gate), Arc::clone(rooms), Arc::clone(at_work));
    let work = move || {
        answer(request, &gate, &rooms);
        done.fetch_sub(1, Ordering::SeqCst);
    };
    if thread::Builder::new().spawn(work).is_err() {
        at_work.fetch_sub(1, Ordering::SeqCst);
    }
}

fn answer(mut request: Request, gate: &Gate, rooms: &Arc<Rooms>) {
    let path = gate.lets_in(&request).map(str::to_owned);
    let way = path.as_deref().and_then(|path| rooms.way(path));
    let response = match way {
        None => refused(403, "This address is not known here."),
        Some(Way::Holder("marks.csv")) => with(200, rooms.marks(), "text/csv; charset=utf-8"),
        Some(Way::Holder(asked)) => in_room(&mut request, rooms.holder(), asked),
        Some(Way::Pupil(room, asked)) => in_room(&mut request, &room, asked),
        Some(Way::Door(asked)) => at_door(&mut request, rooms, asked),
    };
    // who asked may have gone
    let _ = request.respond(response);
}

fn in_room(request: &mut Request, room: &Room, asked: &str) -> Bytes {
    match (request.method(), parted(asked)) {
        (Method::Get, ("", _)) => {
            let (title, pieces) = room.board.whole(NEWS);
            page(whole(&title, &pieces))
        }
        (Method::Get, ("page.js", _)) => script(),
        (Method::Get, ("now", since)) => json(room.board.since(version(since), NEWS)),
        (Method::Post, ("line", _)) => line(request, room),
        _ => refused(404, "There is nothing here."),
    }
}

/// Where pupils say their names.
fn at_door(request: &mut Request, rooms: &Arc<Rooms>, asked: &str) -> Bytes {
    match (request.method(), asked) {
        (Method::Get, "") => page(door()),
        (Method::Get, "page.js") => script(),
        (Method::Post, "join") => match body(request).map(|name| rooms.join(&name)) {
            Ok(Ok(token)) => with(200, token.into_bytes(), "text/plain; charset=utf-8"),
            Ok(Err(why)) => refused(409, why),
            Err(refused) => refused,
        },
        _ => refused(404, "There is nothing here."),
    }
}

fn page(text: String) -> Bytes {
    with(200, text.into_bytes(), "text/html; charset=utf-8")
}

fn script() -> Bytes {
    with(200, SCRIPT.into(), "text/javascript; charset=utf-8")
}

/// A path and what stands behind its question mark.
fn parted(asked: &str) -> (&str, &str) {
    asked.split_once('?').unwrap_or((asked, ""))
}

fn version(since: &str) -> u64 {
    let number = since.strip_prefix("since=").and_then(|number| number.parse().ok());
    number.unwrap_or(0)
}

fn line(request: &mut Request, room: &Room) -> Bytes {
    let line = match body(request) {
        Ok(line) => line,
        Err(refused) => return refused,
    };
    let (answer, answered) = channel();
    let sent = room.send(Asked { line, answer });
    match sent.then(|| answered.recv_timeout(PATIENCE).ok()).flatten() {
        Some(answer) => json(room.board.with(&answer)),
        None => refused(503, "The session has ended."),
    }
}

/// What was sent, as text; or why that can't be.
fn body(request: &mut Request) -> Result<String, Bytes> {
    let mut body = Vec::new();
    let read = request.as_reader().take(LONGEST + 1).read_to_end(&mut body);
    if read.is_err() || body.len() as u64 > LONGEST {
        return Err(refused(413, "A line is shorter than that."));
    }
    String::from_utf8(body).map_err(|_| refused(400, "A line is text."))
}

fn json(text: Vec<u8>) -> Bytes {
    with(200, text, "application/json")
}

fn refused(code: u16, told: &str) -> Bytes {
    with(code, told.into(), "text/plain; charset=utf-8")
}

fn with(code: u16, body: Vec<u8>, kind: &str) -> Bytes {
    let headers = [
        ("Content-Type", kind),
        ("Content-Security-Policy", POLICY),
        ("Cache-Control", "no-store"),
        ("X-Content-Type-Options", "nosniff"),
        ("Referrer-Policy", "no-referrer"),
        ("Cross-Origin-Resource-Policy", "same-origin"),
    ];
    let headers = headers
        .into_iter()
        .filter_map(|(name, value)| Header::from_bytes(name, value).ok());
    headers.fold(Response::from_data(body).with_status_code(code), Response::with_header)
}
