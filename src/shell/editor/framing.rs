//! Messages on a stream: a head that says how many bytes follow, then those bytes.
//!
//! What can't be read is told once and skipped, and reading goes on at the next head,
//! so that one broken message ends nothing. Start reading at [`Reader::read`].

use std::io::{self, BufRead, Read, Write};

use serde_json::Value;

/// The longest message that is taken, in bytes.
const LONGEST_MESSAGE: u64 = 256 * 1024 * 1024;
/// The longest line of a head.
const LONGEST_LINE: u64 = 8 * 1024;
/// The line of a head that matters.
const LENGTH: &str = "content-length";

/// What came over the stream.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Heard {
    /// The body of a message.
    Message(String),
    /// Something that is no message, and why.
    Broken(String),
}

/// The stream that messages are read from.
pub(super) struct Reader<R> {
    input: R,
    /// Whether it isn't known where the next message begins. Then everything is passed
    /// over up to a line that ends with a length.
    lost: bool,
}

impl<R: BufRead> Reader<R> {
    pub(super) fn new(input: R) -> Reader<R> {
        Reader { input, lost: false }
    }

    /// The next message; `None` at the end of the stream.
    ///
    /// # Errors
    /// Those of the stream.
    pub(super) fn read(&mut self) -> io::Result<Option<Heard>> {
        let mut length = None;
        let mut begun = false;
        loop {
            let mut line = Vec::new();
            if self.input.by_ref().take(LONGEST_LINE).read_until(b'\n', &mut line)? == 0 {
                return Ok(None);
            }
            match Line::of(String::from_utf8_lossy(&line).trim()) {
                Line::Length(bytes) => (length, begun, self.lost) = (Some(bytes), true, false),
                _ if self.lost => {}
                Line::Empty if begun => break,
                Line::Empty => {}
                Line::Other => begun = true,
                Line::Broken(why) => return Ok(self.broken(why)),
            }
        }
        match length {
            None => Ok(self.broken("the head has no `Content-Length`")),
            Some(bytes) if bytes > LONGEST_MESSAGE => Ok(self.broken("the message is too long")),
            Some(bytes) => self.body(bytes),
        }
    }

    fn broken(&mut self, why: &str) -> Option<Heard> {
        self.lost = true;
        Some(Heard::Broken(why.to_owned()))
    }

    fn body(&mut self, bytes: u64) -> io::Result<Option<Heard>> {
        let mut body = Vec::new();
        if self.input.by_ref().take(bytes).read_to_end(&mut body)? as u64 != bytes {
            return Ok(None);
        }
        Ok(Some(match String::from_utf8(body) {
            Ok(body) => Heard::Message(body),
            Err(_) => Heard::Broken("the message isn't UTF-8".to_owned()),
        }))
    }
}

/// A line of a head.
enum Line {
    Length(u64),
    Empty,
    Other,
    Broken(&'static str),
}

impl Line {
    fn of(line: &str) -> Line {
        if let Some(bytes) = length_behind(line) {
            return Line::Length(bytes);
        }
        match line.split_once(':') {
            None if line.is_empty() => Line::Empty,
            None => Line::Broken("a line of the head has no colon"),
            Some((name, _)) if name.trim().eq_ignore_ascii_case(LENGTH) => Line::Broken("the length isn't a number"),
            Some(_) => Line::Other,
        }
    }
}

/// The length at the end of a line, perhaps behind what was left of another message.
/// Inside JSON no line ends so.
fn length_behind(line: &str) -> Option<u64> {
    let (before, value) = line.rsplit_once(':')?;
    let before = before.trim_end();
    let start = before.len().checked_sub(LENGTH.len())?;
    let name = before.get(start..)?;
    name.eq_ignore_ascii_case(LENGTH)
        .then(|| value.trim().parse().ok())
        .flatten()
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
