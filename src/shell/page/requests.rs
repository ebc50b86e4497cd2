//! Requests of browsers, answered one thread each, so many at a time.
//!
//! Start reading at [`answer_all`].

use std::io::{Cursor, Read};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{Sender, channel};
use std::thread;
use std::time::Duration;

use tiny_http::{Header, Method, Request, Response, Server};

use crate::report::live::{SCRIPT, whole};

use super::Asked;
use super::board::Board;
use super::gate::Gate;

/// So many requests are answered at a time.
const MOST: usize = 64;
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

/// Answers requests as long as the program runs.
pub(super) fn answer_all(server: &Server, gate: &Arc<Gate>, board: &Arc<Board>, ask: &Sender<Asked>) {
    let at_work = Arc::new(AtomicUsize::new(0));
    for request in server.incoming_requests() {
        if at_work.fetch_add(1, Ordering::SeqCst) >= MOST {
            at_work.fetch_sub(1, Ordering::SeqCst);
            let _ = request.respond(refused(503, "Too many at a time."));
            continue;
        }
        let (gate, board, ask) = (Arc::clone(gate), Arc::clone(board), ask.clone());
        let done = Arc::clone(&at_work);
        let work = move || {
            answer(request, &gate, &board, &ask);
            done.fetch_sub(1, Ordering::SeqCst);
        };
        if thread::Builder::new().spawn(work).is_err() {
            at_work.fetch_sub(1, Ordering::SeqCst);
        }
    }
}

fn answer(mut request: Request, gate: &Gate, board: &Board, ask: &Sender<Asked>) {
    let asked = gate.lets_in(&request).map(str::to_owned);
    let response = match (request.method(), asked.as_deref().map(parted)) {
        (_, None) => refused(403, "This address is not known here."),
        (Method::Get, Some(("", _))) => {
            let (title, pieces) = board.whole(NEWS);
            with(200, whole(&title, &pieces).into_bytes(), "text/html; charset=utf-8")
        }
        (Method::Get, Some(("page.js", _))) => with(200, SCRIPT.into(), "text/javascript; charset=utf-8"),
        (Method::Get, Some(("now", since))) => json(board.since(version(since), NEWS)),
        (Method::Post, Some(("line", _))) => line(&mut request, board, ask),
        _ => refused(404, "There is nothing here."),
    };
    // who asked may have gone
    let _ = request.respond(response);
}

/// A path and what stands behind its question mark.
fn parted(asked: &str) -> (&str, &str) {
    asked.split_once('?').unwrap_or((asked, ""))
}

fn version(since: &str) -> u64 {
    let number = since.strip_prefix("since=").and_then(|number| number.parse().ok());
    number.unwrap_or(0)
}

fn line(request: &mut Request, board: &Board, ask: &Sender<Asked>) -> Bytes {
    let mut body = Vec::new();
    let read = request.as_reader().take(LONGEST + 1).read_to_end(&mut body);
    if read.is_err() || body.len() as u64 > LONGEST {
        return refused(413, "A line is shorter than that.");
    }
    let Ok(line) = String::from_utf8(body) else {
        return refused(400, "A line is text.");
    };
    let (answer, answered) = channel();
    let answer = ask
        .send(Asked { line, answer })
        .ok()
        .and_then(|()| answered.recv_timeout(PATIENCE).ok());
    match answer {
        Some(answer) => json(board.with(&answer)),
        None => refused(503, "The session has ended."),
    }
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
