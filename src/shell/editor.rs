//! An editor's questions, answered on standard streams.
//!
//! The only place that names `lsp_types`. Each open document is
//! a session held in memory: what is typed goes into it stretch by stretch, and
//! diagnostics follow when nothing more is waiting to be read. What is asked is
//! answered from that session; nothing here decides anything about worksheets.
//! Nothing but the protocol is written to standard output.
//! Start reading at [`serve`], then [`server::Server::hear`].

use std::io::{self, BufReader};
use std::sync::mpsc::{self, Receiver, TryRecvError};
use std::thread;

use super::output::Output;
use super::{PROBLEMS, WELL};

mod addresses;
mod answers;
mod client;
mod diagnostics;
mod document;
mod framing;
mod message;
mod places;
pub mod server;
mod settings;

use framing::{Heard, Reader};
use server::{End, Server};

/// Answers until the editor says `exit`, or the stream ends; gives back the exit code,
/// which is 0 only where `shutdown` came before.
///
/// # Errors
/// Those of standard output.
pub fn serve(output: &mut Output) -> io::Result<u8> {
    let heard = listen();
    let mut server = Server::default();
    loop {
        let next = match heard.try_recv() {
            Ok(next) => next,
            Err(TryRecvError::Disconnected) => break,
            Err(TryRecvError::Empty) => {
                framing::write_all(&server.settle(), output.results())?;
                match heard.recv() {
                    Ok(next) => next,
                    Err(_) => break,
                }
            }
        };
        let replies = match next {
            Heard::Message(body) => server.hear(&body),
            Heard::Broken(why) => vec![server::unreadable(&why)],
        };
        framing::write_all(&replies, output.results())?;
        match server.end() {
            Some(End::InOrder) => return Ok(WELL),
            Some(End::Abrupt) => return Ok(PROBLEMS),
            None => {}
        }
    }
    Ok(if server.is_shut_down() { WELL } else { PROBLEMS })
}

/// Reads messages in a thread of its own, so that what is waiting is known.
fn listen() -> Receiver<Heard> {
    let (sender, heard) = mpsc::channel();
    thread::spawn(move || {
        let mut input = Reader::new(BufReader::new(io::stdin()));
        while let Ok(Some(next)) = input.read() {
            if sender.send(next).is_err() {
                return;
            }
        }
    });
    heard
}
