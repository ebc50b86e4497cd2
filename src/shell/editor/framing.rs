//! Messages on a stream: a head that says how many bytes follow, then those bytes.
//!
//! What can't be read is told and skipped, and reading goes on behind it, so that
//! one broken message ends nothing. Start reading at [`read`].

use std::io::{self, BufRead, Read, Write};

use serde_json::Value;

/// The longest message that is taken, in bytes.
const LONGEST_MESSAGE: u64 = 256 * 1024 * 1024;
/// The longest line of a head.
const LONGEST_LINE: u64 = 8 * 1024;

/// What came over the stream.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Heard {
    /// The body of a message.
    Message(String),
    /// Something that is no message, and why.
    Broken(String),
}

/// The next message; `None` at the end of the stream.
///
/// # Errors
/// Those of the stream.
pub(super) fn read(input: &mut impl BufRead) -> io::Result<Option<Heard>> {
    let mut length = None;
    let mut begun = false;
    loop {
        let mut line = Vec::new();
        if input.by_ref().take(LONGEST_LINE).read_until(b'\n', &mut line)? == 0 {
            return Ok(None);
        }
        let line = String::from_utf8_lossy(&line);
        let line = line.trim();
        if line.is_empty() {
            if begun {
                break;
            }
            continue;
        }
        begun = true;
        let Some((name, value)) = line.split_once(':') else {
            return Ok(Some(Heard::Broken("a line of the head has no colon".to_owned())));
        };
        if name.trim().eq_ignore_ascii_case("content-length") {
            match value.trim().parse() {
                Ok(bytes) => length = Some(bytes),
                Err(_) => return Ok(Some(Heard::Broken("the length isn't a number".to_owned()))),
            }
        }
    }
    match length {
        None => Ok(Some(Heard::Broken("the head has no `Content-Length`".to_owned()))),
        Some(bytes) => body(input, bytes),
    }
}

fn body(input: &mut impl BufRead, bytes: u64) -> io::Result<Option<Heard>> {
    if bytes > LONGEST_MESSAGE {
        io::copy(&mut input.take(bytes), &mut io::sink())?;
        return Ok(Some(Heard::Broken("the message is too long".to_owned())));
    }
    let mut body = Vec::new();
    if input.take(bytes).read_to_end(&mut body)? as u64 != bytes {
        return Ok(None);
    }
    Ok(Some(match String::from_utf8(body) {
        Ok(body) => Heard::Message(body),
        Err(_) => Heard::Broken("the message isn't UTF-8".to_owned()),
    }))
}

/// Writes messages and sends them on.
///
/// # Errors
/// Those of the stream.
pub(super) fn write_all(messages: &[Value], output: &mut impl Write) -> io::Result<()> {
    for message in messages {
        let body = message.to_string();
        write!(output, "Content-Length: {}\r\n\r\n{body}", body.len())?;
    }
    output.flush()
}
