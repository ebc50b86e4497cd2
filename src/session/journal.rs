//! The journal: what was changed and isn't saved, in a file that survives the session.
//!
//! A plain text file, of whole records that each end with a checksum, so that
//! one broken off is known. It begins with the text it started from; each act
//! follows as it was typed, and is on the disk before it is answered. Held under
//! a lock for as long as its session lives, however that ends. What is done with
//! one that was left behind is in [`super::unsaved`]. Start reading at
//! [`Journal`] and [`read`].

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use jiff::ZonedDateTime;

use super::file::{folder_of, settle_name};

/// The first line, with the version of the format.
const OPENING: &str = "tarebook journal 1\n";

/// For somebody who opens it in an editor.
const EXPLAINED: &str = "-- What was changed in a worksheet and isn't saved there; `tarebook open` offers it.\n\
-- Behind `|` stands what was typed, and first of all the worksheet as it was. To rescue\n\
-- it by hand, put the lines behind `|` into the worksheet, or type them in a session.\n";

/// A text by its length in bytes and its checksum.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Mark {
    length: usize,
    sum: u64,
}

impl Mark {
    pub(super) fn of(text: &str) -> Mark {
        Mark {
            length: text.len(),
            sum: checksum(SEED, text.as_bytes()),
        }
    }
}

const SEED: u64 = 0xcbf2_9ce4_8422_2325;

/// FNV-1a: enough to know what broke off or was changed by accident.
pub(super) fn checksum(seed: u64, bytes: &[u8]) -> u64 {
    bytes.iter().fold(seed, |sum, byte| {
        (sum ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

/// The seed of a checksum over a whole text.
pub(super) fn checksum_of(text: &str) -> u64 {
    checksum(SEED, text.as_bytes())
}

/// What changes a session, with all it takes to do it again.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Act {
    /// `measured gross = 44.1 lb`
    Enter(String),
    /// `edit gross`, then the line as it is now
    Edit { name: String, text: String },
    /// `remove gross`
    Remove(String),
    /// `rename gross full`
    Rename { old: String, new: String },
    /// `rate = 2 lb/h`; what was worked out, where it was no literal
    Try { line: String, value: Option<String> },
    /// `drop`, `drop rate`
    Drop(Option<String>),
    /// `keep`
    Keep,
    /// `keep as case NAME "title"`, without the first three words
    KeepAsCase(String),
    /// `case night`
    Case(String),
    /// `keep plot`: the plot that was kept
    KeepPlot(String),
    /// `reload`: the text that was read
    Reload(String),
    /// `undo`
    Undo,
    /// `redo`
    Redo,
}

impl Act {
    /// The word that says what the lines before it did.
    fn word(&self) -> &'static str {
        match self {
            Act::Enter(_) => "entered",
            Act::Edit { .. } => "edited",
            Act::Try { value: None, .. } => "tried",
            Act::Try { value: Some(_), .. } => "worked-out",
            Act::KeepPlot(_) => "kept-plot",
            Act::Reload(_) => "reloaded",
            _ => "done",
        }
    }

    /// What was typed, in lines that can be typed again.
    fn typed(&self) -> String {
        match self {
            Act::Enter(text) | Act::KeepPlot(text) | Act::Reload(text) => text.clone(),
            Act::Edit { name, text } => format!("edit {name}\n{text}"),
            Act::Remove(name) => format!("remove {name}"),
            Act::Rename { old, new } => format!("rename {old} {new}"),
            Act::Try { line, value: None } => line.clone(),
            Act::Try {
                line,
                value: Some(value),
            } => format!("{line}\n= {value}"),
            Act::Drop(None) => "drop".to_owned(),
            Act::Drop(Some(name)) => format!("drop {name}"),
            Act::Keep => "keep".to_owned(),
            Act::KeepAsCase(line) => format!("keep as case {line}"),
            Act::Case(name) => format!("case {name}"),
            Act::Undo => "undo".to_owned(),
            Act::Redo => "redo".to_owned(),
        }
    }

    /// The act of a word and what was typed.
    fn read(word: &str, typed: &str) -> Option<Act> {
        let text = typed.to_owned();
        Some(match word {
            "entered" => Act::Enter(text),
            "edited" => {
                let (name, text) = typed.strip_prefix("edit ")?.split_once('\n')?;
                Act::Edit {
                    name: name.to_owned(),
                    text: text.to_owned(),
                }
            }
            "tried" => Act::Try {
                line: text,
                value: None,
            },
            "worked-out" => {
                let (line, value) = typed.rsplit_once("\n= ")?;
                Act::Try {
                    line: line.to_owned(),
                    value: Some(value.to_owned()),
                }
            }
            "kept-plot" => Act::KeepPlot(text),
            "reloaded" => Act::Reload(text),
            "done" => Act::read_done(typed)?,
            _ => return None,
        })
    }

    fn read_done(typed: &str) -> Option<Act> {
        let after = |start: &str| typed.strip_prefix(start).map(str::to_owned);
        Some(match typed {
            "keep" => Act::Keep,
            "drop" => Act::Drop(None),
            "undo" => Act::Undo,
            "redo" => Act::Redo,
            _ => {
                let renamed = || {
                    let (old, new) = typed.strip_prefix("rename ")?.split_once(' ')?;
                    Some(Act::Rename {
                        old: old.to_owned(),
                        new: new.to_owned(),
                    })
                };
                after("drop ")
                    .map(|name| Act::Drop(Some(name)))
                    .or_else(|| after("remove ").map(Act::Remove))
                    .or_else(|| after("keep as case ").map(Act::KeepAsCase))
                    .or_else(|| after("case ").map(Act::Case))
                    .or_else(renamed)?
            }
        })
    }

    /// Its first line, to tell which it was.
    pub(super) fn told(&self) -> String {
        match self {
            Act::Reload(_) => "reload".to_owned(),
            Act::KeepPlot(_) => "keep plot".to_owned(),
            act => act.typed().lines().next().unwrap_or("").trim().to_owned(),
        }
    }
}

/// What one record says.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Event {
    /// An act, with the text and the number of trials it left.
    Act { act: Act, text: Mark, trials: usize },
    /// The file is this text from here on: it was saved, or read again.
    File(Mark),
}

/// One record, and when it was written.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Record {
    pub(super) event: Event,
    pub(super) when: String,
}

impl Record {
    /// A record of this moment.
    pub(super) fn now(event: Event) -> Record {
        Record { event, when: now() }
    }

    fn body(&self) -> Option<String> {
        match &self.event {
            Event::Act { act, .. } => Some(act.typed()),
            Event::File(_) => None,
        }
    }

    fn ending(&self) -> String {
        let when = &self.when;
        match &self.event {
            Event::Act { act, text, trials } => {
                format!("{} {when} text {} trials {trials}", act.word(), shown(*text))
            }
            Event::File(mark) => format!("file {when} text {} trials 0", shown(*mark)),
        }
    }
}

fn shown(mark: Mark) -> String {
    format!("{} {:016x}", mark.length, mark.sum)
}

/// The time on the wall, with its distance from Greenwich.
fn now() -> String {
    ZonedDateTime::now().strftime("%Y-%m-%d %H:%M:%S%:z").to_string()
}

/// What a journal holds, as far as it can be read.
#[derive(Clone, Debug)]
pub(super) struct Written {
    /// The text it started from.
    pub(super) start: String,
    /// Its records.
    pub(super) records: Vec<Record>,
    /// What follows the last whole record.
    pub(super) end: End,
    file: Mark,
    length: usize,
    chain: u64,
}

/// How a journal ends.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum End {
    /// With a whole record.
    Whole,
    /// In the middle of one, as when the power fails.
    BrokenOff,
    /// From this line on it can't be read, and more records follow.
    Damaged(usize),
}

/// What a file of a journal's name is.
#[derive(Debug)]
pub(super) enum Content {
    /// Nothing yet.
    Empty,
    /// It broke off before its first record was whole.
    Begun,
    /// A journal.
    Written(Box<Written>),
    /// Something else, or of another version.
    Foreign,
}

impl Written {
    /// The file it belongs to: as it was when the session began, saved or read last.
    fn file(&self) -> Mark {
        let mut files = self.records.iter().filter_map(|record| match record.event {
            Event::File(mark) => Some(mark),
            Event::Act { .. } => None,
        });
        files.next_back().unwrap_or(self.file)
    }

    /// The text and the number of trials at its end.
    pub(super) fn last(&self) -> (Mark, usize) {
        let mut acts = self.records.iter().filter_map(|record| match record.event {
            Event::Act { text, trials, .. } => Some((text, trials)),
            Event::File(_) => None,
        });
        acts.next_back().unwrap_or((self.file, 0))
    }

    /// Whether it belongs to a file with this text: the one it began with, or one that
    /// was saved from it.
    pub(super) fn belongs_to(&self, file: Mark) -> bool {
        self.file() == file || self.last().0 == file
    }

    /// Whether all of it stands in a file with this text.
    pub(super) fn is_saved_in(&self, file: Mark) -> bool {
        self.last() == (file, 0)
    }

    /// The acts since the file was saved or read, each with its time.
    pub(super) fn unsaved(&self) -> Vec<(&Act, &str)> {
        let saved = |record: &Record| matches!(record.event, Event::File(_));
        let from = self.records.iter().rposition(saved).map_or(0, |place| place + 1);
        let since = self.records.iter().skip(from).filter_map(|record| match &record.event {
            Event::Act { act, .. } => Some((act, record.when.as_str())),
            Event::File(_) => None,
        });
        since.collect()
    }
}

/// Reads what a journal's file holds; what is broken is left out, and said.
pub(super) fn read(bytes: &[u8]) -> Content {
    let opening = OPENING.as_bytes();
    if bytes.is_empty() {
        return Content::Empty;
    }
    if !bytes.starts_with(opening) {
        // All noughts is what a file gets whose content never reached the disk.
        let begun = opening.starts_with(bytes) || bytes.iter().all(|byte| *byte == 0);
        return if begun { Content::Begun } else { Content::Foreign };
    }
    let mut reader = Reader {
        rest: bytes.get(opening.len()..).unwrap_or_default(),
        length: opening.len(),
        line: 2,
        chain: SEED,
    };
    reader.skip_remarks();
    let Some((start, ending)) = reader.record().and_then(|(body, ending)| Some((body?, ending))) else {
        return Content::Begun;
    };
    if ending.word != "began" {
        return Content::Foreign;
    }
    let mut records = Vec::new();
    while let Some(record) = reader.record().and_then(|(body, ending)| ending.record(body)) {
        records.push(record);
    }
    Content::Written(Box::new(Written {
        start,
        records,
        end: reader.end(),
        file: ending.text,
        length: reader.length,
        chain: reader.chain,
    }))
}

/// Walks through the records; what is whole moves `length` and `chain` on.
struct Reader<'a> {
    rest: &'a [u8],
    length: usize,
    line: usize,
    chain: u64,
}

/// The line that ends a record.
struct Ending {
    word: String,
    when: String,
    text: Mark,
    trials: usize,
}

impl Ending {
    /// `done 2026-02-11 21:40:03-05:00 text 812 5f2e8c0a91b3d644 trials 1`
    fn read(line: &str) -> Option<Ending> {
        let words: Vec<&str> = line.split(' ').collect();
        let [word, day, time, "text", length, sum, "trials", trials] = words.as_slice() else {
            return None;
        };
        Some(Ending {
            word: (*word).to_owned(),
            when: format!("{day} {time}"),
            text: Mark {
                length: length.parse().ok()?,
                sum: u64::from_str_radix(sum, 16).ok()?,
            },
            trials: trials.parse().ok()?,
        })
    }

    fn record(self, body: Option<String>) -> Option<Record> {
        let event = match (self.word.as_str(), body) {
            ("file", None) => Event::File(self.text),
            (word, Some(body)) => Event::Act {
                act: Act::read(word, &body)?,
                text: self.text,
                trials: self.trials,
            },
            _ => return None,
        };
        Some(Record { event, when: self.when })
    }
}

impl<'a> Reader<'a> {
    fn skip_remarks(&mut self) {
        while self.rest.starts_with(b"-- ") {
            let Some((line, rest)) = split_line(self.rest) else {
                return;
            };
            self.length += line.len() + 1;
            self.line += 1;
            self.rest = rest;
        }
    }

    /// The next record, where it is whole and its checksum fits.
    fn record(&mut self) -> Option<(Option<String>, Ending)> {
        let mut rest = self.rest;
        let mut lines = Vec::new();
        loop {
            let (line, after) = split_line(rest)?;
            let line = std::str::from_utf8(line).ok()?;
            rest = after;
            match line.strip_prefix('|') {
                Some(body) => lines.push(bare(body.strip_prefix(' ').unwrap_or(body))?),
                None => {
                    let (ending, check) = line.rsplit_once(" check ")?;
                    let taken = self.rest.len() - rest.len();
                    let body = (!lines.is_empty()).then(|| lines.join("\n"));
                    let chain = chained(self.chain, body.as_deref(), ending);
                    if u64::from_str_radix(check, 16) != Ok(chain) {
                        return None;
                    }
                    let ending = Ending::read(ending)?;
                    self.length += taken;
                    self.line += lines.len() + 1;
                    self.chain = chain;
                    self.rest = rest;
                    return Some((body, ending));
                }
            }
        }
    }

    fn end(&self) -> End {
        if self.rest.is_empty() {
            return End::Whole;
        }
        let mut rest = self.rest;
        while let Some((line, after)) = split_line(rest) {
            let closes = !line.starts_with(b"|") && line.windows(7).any(|part| part == b" check ");
            if closes {
                return End::Damaged(self.line);
            }
            rest = after;
        }
        End::BrokenOff
    }
}

fn split_line(bytes: &[u8]) -> Option<(&[u8], &[u8])> {
    let end = bytes.iter().position(|byte| *byte == b'\n')?;
    Some((bytes.get(..end)?, bytes.get(end + 1..)?))
}

/// The checksum of a record, which goes on from the one before it.
fn chained(chain: u64, body: Option<&str>, ending: &str) -> u64 {
    let sum = checksum(chain, body.unwrap_or("").as_bytes());
    checksum(checksum(sum, b"\n"), ending.as_bytes())
}

/// A line without the signs that a text file can't show.
fn written(line: &str) -> String {
    let mut text = String::with_capacity(line.len());
    for c in line.chars() {
        match c {
            '\\' => text.push_str("\\\\"),
            '\t' => text.push(c),
            _ if c.is_control() || c == '\u{feff}' => text.push_str(&format!("\\u{{{:x}}}", u32::from(c))),
            _ => text.push(c),
        }
    }
    text
}

/// The line that was written so.
fn bare(line: &str) -> Option<String> {
    let mut text = String::with_capacity(line.len());
    let mut rest = line;
    while let Some((before, after)) = rest.split_once('\\') {
        text.push_str(before);
        if let Some(after) = after.strip_prefix('\\') {
            text.push('\\');
            rest = after;
        } else {
            let (code, after) = after.strip_prefix("u{")?.split_once('}')?;
            text.push(char::from_u32(u32::from_str_radix(code, 16).ok()?)?);
            rest = after;
        }
    }
    text.push_str(rest);
    Some(text)
}

/// A record as it stands in the file, and the checksum it ends with.
fn encoded(chain: u64, body: Option<&str>, ending: &str) -> (String, u64) {
    let chain = chained(chain, body, ending);
    let mut text = String::new();
    for line in body.into_iter().flat_map(|body| body.split('\n')) {
        text.push_str("| ");
        text.push_str(&written(line));
        text.push('\n');
    }
    text.push_str(&format!("{ending} check {chain:016x}\n"));
    (text, chain)
}

/// A journal's file, open and locked.
#[derive(Debug)]
pub(super) struct Slot {
    pub(super) path: PathBuf,
    file: File,
}

/// Why there is no slot.
pub(super) enum Unopened {
    /// Another session has it.
    InHand,
    /// There is no such file, or it can't be used.
    Trouble(io::Error),
}

/// Whether a file that isn't there is made.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Making {
    /// It is made.
    New,
    /// Only one that is there.
    Old,
}

impl Slot {
    /// Opens and locks a journal's file. The lock ends with the process, however that ends.
    pub(super) fn open(path: &Path, making: Making, like: Option<&Path>) -> Result<Slot, Unopened> {
        for _ in 0..8 {
            let file = opened(path, making, like).map_err(Unopened::Trouble)?;
            match file.try_lock() {
                Ok(()) if is_still(&file, path) => {
                    let path = path.to_owned();
                    return Ok(Slot { path, file });
                }
                // It was put away between opening and locking.
                Ok(()) => continue,
                Err(TryLockError::WouldBlock) => return Err(Unopened::InHand),
                Err(TryLockError::Error(trouble)) => return Err(Unopened::Trouble(trouble)),
            }
        }
        Err(Unopened::InHand)
    }

    /// What it holds.
    pub(super) fn content(&mut self) -> io::Result<Content> {
        let mut bytes = Vec::new();
        self.file.seek(SeekFrom::Start(0))?;
        self.file.read_to_end(&mut bytes)?;
        Ok(read(&bytes))
    }

    /// Removes the file.
    pub(super) fn remove(self) -> io::Result<()> {
        fs::remove_file(&self.path)?;
        settle_name(&self.path);
        Ok(())
    }
}

/// A new file can be read by whoever can read the worksheet, and by nobody else.
fn opened(path: &Path, making: Making, like: Option<&Path>) -> io::Result<File> {
    let mut options = OpenOptions::new();
    options.read(true).write(true).create(making == Making::New);
    #[cfg(unix)]
    {
        use std::os::unix::fs::{OpenOptionsExt, PermissionsExt};
        let mode = like.and_then(|like| fs::metadata(like).ok());
        let mode = mode.map_or(0o600, |about| about.permissions().mode() & 0o666);
        options.mode(mode | 0o600);
    }
    let _ = like;
    let about = fs::symlink_metadata(path);
    if about.is_ok_and(|about| !about.is_file()) {
        return Err(io::Error::new(io::ErrorKind::AlreadyExists, "it is no plain file"));
    }
    options.open(path)
}

/// Whether the file is still the one of that name.
fn is_still(file: &File, path: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        let (Ok(held), Ok(named)) = (file.metadata(), fs::symlink_metadata(path)) else {
            return false;
        };
        (held.dev(), held.ino()) == (named.dev(), named.ino())
    }
    #[cfg(not(unix))]
    {
        let _ = file;
        path.exists()
    }
}

/// The journal of a session.
#[derive(Debug)]
pub(super) struct Journal {
    slot: Slot,
    /// The text it starts from, until it is written.
    start: Option<String>,
    /// So many bytes are whole and settled on the disk.
    length: usize,
    /// The checksum of the last record.
    chain: u64,
    /// What couldn't be written yet.
    waiting: String,
    troubled: bool,
}

/// What came of writing a record.
pub(super) enum Noted {
    /// It is on the disk.
    Settled,
    /// It is on the disk, with what had to wait.
    Again,
    /// It isn't, for the first time.
    Trouble(io::Error),
    /// It still isn't.
    Waiting,
}

impl Journal {
    /// A journal in an empty file. Nothing is written before there is something to write.
    pub(super) fn begin(slot: Slot, start: String) -> Journal {
        Journal {
            slot,
            start: Some(start),
            length: 0,
            chain: SEED,
            waiting: String::new(),
            troubled: false,
        }
    }

    /// Goes on with a journal that was left; what broke off is cut away with the next record.
    pub(super) fn resume(slot: Slot, written: &Written) -> Journal {
        Journal {
            slot,
            start: None,
            length: written.length,
            chain: written.chain,
            waiting: String::new(),
            troubled: false,
        }
    }

    /// Whether anything was noted in it.
    pub(super) fn has_begun(&self) -> bool {
        self.start.is_none()
    }

    /// The file.
    pub(super) fn path(&self) -> &Path {
        &self.slot.path
    }

    /// Appends a record and settles it on the disk.
    pub(super) fn note(&mut self, record: &Record) -> Noted {
        if let Some(start) = self.start.take() {
            let ending = format!("began {} text {} trials 0", now(), shown(Mark::of(&start)));
            self.wait(Some(&start), &ending);
            self.waiting.insert_str(0, &format!("{OPENING}{EXPLAINED}"));
        }
        self.wait(record.body().as_deref(), &record.ending());
        let written = self.settle();
        match (written, self.troubled) {
            (Ok(()), false) => Noted::Settled,
            (Ok(()), true) => {
                self.troubled = false;
                Noted::Again
            }
            (Err(_), true) => Noted::Waiting,
            (Err(trouble), false) => {
                self.troubled = true;
                Noted::Trouble(trouble)
            }
        }
    }

    fn wait(&mut self, body: Option<&str>, ending: &str) {
        let (text, chain) = encoded(self.chain, body, ending);
        self.chain = chain;
        self.waiting.push_str(&text);
    }

    /// Writes what waits; what could be written only in part is taken back.
    fn settle(&mut self) -> io::Result<()> {
        let fresh = self.length == 0;
        let length = self.length as u64;
        let file = &mut self.slot.file;
        let written = file
            .set_len(length)
            .and_then(|()| file.seek(SeekFrom::Start(length)))
            .and_then(|_| file.write_all(self.waiting.as_bytes()))
            .and_then(|()| file.sync_data());
        if let Err(trouble) = written {
            let _ = file.set_len(length);
            return Err(trouble);
        }
        self.length += self.waiting.len();
        self.waiting.clear();
        if fresh {
            settle_name(&self.slot.path);
        }
        Ok(())
    }

    /// Goes on in another file, and removes this one.
    pub(super) fn move_to(&mut self, slot: Slot) -> io::Result<()> {
        let mut bytes = Vec::new();
        self.slot.file.seek(SeekFrom::Start(0))?;
        let mut whole = (&mut self.slot.file).take(self.length as u64);
        whole.read_to_end(&mut bytes)?;
        let old = std::mem::replace(&mut self.slot, slot);
        let file = &mut self.slot.file;
        let copied = file.write_all(&bytes).and_then(|()| file.sync_data());
        if let Err(trouble) = copied {
            let _ = std::mem::replace(&mut self.slot, old).remove();
            return Err(trouble);
        }
        settle_name(&self.slot.path);
        old.remove()
    }

    /// Puts the journal away.
    pub(super) fn remove(self) -> io::Result<()> {
        self.slot.remove()
    }
}

/// So many sessions on one worksheet, or journals left of it, have a file.
const MOST_SLOTS: usize = 9;

/// The files that a journal may stand in, beside the worksheet or in the state folder.
pub(super) fn names(folder: &Path, stem: &str) -> Vec<PathBuf> {
    let numbered = (1..=MOST_SLOTS).map(|number| match number {
        1 => folder.join(format!("{stem}.unsaved")),
        _ => folder.join(format!("{stem}.unsaved-{number}")),
    });
    numbered.collect()
}

/// The name beside the worksheet: `.ridge.tare.unsaved`.
pub(super) fn beside(path: &Path) -> Vec<PathBuf> {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    names(&folder_of(path), &format!(".{name}"))
}

/// The name in the state folder, where all worksheets' journals stand.
pub(super) fn in_state(state: &Path, name: &str, whole: &Path) -> Vec<PathBuf> {
    let short: String = name.chars().take(40).collect();
    let sum = checksum_of(&whole.to_string_lossy());
    names(&state.join("unsaved"), &format!("{short}-{sum:016x}"))
}
