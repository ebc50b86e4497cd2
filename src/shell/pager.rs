//! Long text that was asked for, shown by the pager that `PAGER` names.
//!
//! At a terminal alone, and only what has no room on it: `PAGER` is a command line as the system's
//! shell reads it, empty for none; where it isn't set, `less` or else `more`. Where none can be
//! started the text is printed as ever. Start reading at [`shown`].

use std::io::{self, IsTerminal, Write};
use std::process::{Command, Stdio};

/// Whether a pager has shown the text.
pub(super) fn shown(text: &str) -> bool {
    let at_terminal = io::stdin().is_terminal() && io::stdout().is_terminal();
    at_terminal && is_long(text) && commands().iter().any(|command| through(command, text))
}

/// Whether a text has no room on the terminal.
pub(super) fn is_long(text: &str) -> bool {
    let height = terminal_size::terminal_size().map(|(_, height)| usize::from(height.0));
    height.is_some_and(|height| text.lines().count() >= height)
}

/// What may be run, in order.
fn commands() -> Vec<String> {
    let plain = std::env::var_os("TERM").is_none_or(|terminal| terminal == "dumb");
    match std::env::var("PAGER") {
        _ if plain => Vec::new(),
        Ok(pager) if pager.trim().is_empty() => Vec::new(),
        Ok(pager) => vec![pager],
        Err(_) => ["less", "more"].map(str::to_owned).to_vec(),
    }
}

/// Whether the command took the text; a shell ends with 126 or 127 where it can't run it.
fn through(command: &str, text: &str) -> bool {
    let mut pager = Command::new("sh");
    pager.arg("-c").arg(command).stdin(Stdio::piped());
    // what is typed ahead is no command to it: it writes no file and runs nothing
    pager.env("LESSSECURE", "1");
    if std::env::var_os("LESS").is_none() {
        // colors as they are, the text stays, and the last line says how to go on
        pager.env("LESS", "-RX -PsSpace shows more\\, q goes back$");
    }
    let Ok(mut running) = pager.stderr(Stdio::null()).spawn() else {
        return false;
    };
    if let Some(mut input) = running.stdin.take() {
        // who leaves the pager early closes it
        let _ = input.write_all(text.as_bytes());
    }
    running
        .wait()
        .is_ok_and(|ended| !matches!(ended.code(), Some(126 | 127)))
}
