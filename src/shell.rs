//! The shells: words turned into calls on the session, and what comes back printed.
//!
//! The command line reads arguments in [`arguments`] and runs them in
//! [`command`]; the interactive session talks in [`conversation`], on a terminal
//! through [`interactive`]; an editor is answered in [`editor`]. Nothing here decides anything about worksheets, and
//! nothing outside prints. Start reading at [`run`].

use std::ffi::OsString;
use std::io::{self, ErrorKind};
#[cfg(unix)]
use std::sync::Arc;

pub(crate) mod arguments;
pub(crate) mod command;
pub mod conversation;
pub mod editor;
mod interactive;
mod looking;
pub(crate) mod output;
pub(crate) mod page;
mod pager;
mod progress;
mod setup;

use output::Output;

use crate::session::Refusal;
use crate::session::disk::plain;
use crate::time_limit;

/// All is well.
pub(crate) const WELL: u8 = 0;
/// The worksheet has problems.
pub(crate) const PROBLEMS: u8 = 1;
/// Wrong usage, or a file can't be read.
pub(crate) const USAGE: u8 = 2;
/// An expectation doesn't hold or can't be told.
pub(crate) const EXPECTATION: u8 = 3;

/// Runs the program with its arguments, the first being its own name; gives back
/// the exit code. A closed pipe is a quiet end.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> u8 {
    outlive_size_limit();
    let mut output = Output::standard();
    let ended = match arguments::read(arguments) {
        Ok((request, manner)) => {
            output.draw_with(manner.letters);
            time_limit::allow(manner.time.unwrap_or(time_limit::USUAL));
            command::run(&request, &mut output)
        }
        Err(stop) => arguments::stop(&stop, &mut output),
    };
    let code = ended.and_then(|code| output.flush().map(|()| code));
    code.unwrap_or_else(|trouble| failed(&trouble, &mut output))
}

/// A file that gets too large for a limit of the system is an error of its writing, as a full
/// disk is, in place of the end of the program.
fn outlive_size_limit() {
    #[cfg(unix)]
    {
        let signal = signal_hook::consts::SIGXFSZ;
        // where no handler can be had, the signal ends the program
        let _ = signal_hook::flag::register(signal, Arc::default());
    }
}

fn failed(trouble: &io::Error, output: &mut Output) -> u8 {
    if trouble.kind() == ErrorKind::BrokenPipe {
        return WELL;
    }
    let told = Refusal::new(format!("the output can't be written: {}", plain(trouble)));
    output.draw_unflushed(&told.problems);
    USAGE
}
