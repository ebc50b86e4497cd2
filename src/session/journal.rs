//! The journal: what was changed and isn't saved, in a file that survives the session.
//!
//! A plain text file, of whole records that each end with a checksum, so that
//! one broken off is known. It begins with the text it started from; each act
//! follows as it was typed, and is on the disk before it is answered. Held under
//! a lock for as long as its session lives, however that ends; written anew in
//! short form when it has grown. What is done with one that was left behind is
//! in [`super::unsaved`]. Start reading at [`Journal`] and [`read`].

use std::ffi::{OsStr, OsString};
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use jiff::ZonedDateTime;

use super::file::{folder_of, is_still, part_beside, settle_name};

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
    /// How the session stood at the beginning, where much went before.
    Stood { stood: Stood, text: Mark, trials: usize },
}

/// What a journal in short form leaves out, and what stood then.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(super) struct Stood {
    /// So many changes aren't saved, those told in the next records among them.
    pub(super) changes: usize,
    /// When the first of them was made.
    pub(super) first: Option<String>,
    /// So many records tell of what went before.
    pub(super) records: usize,
    /// So many steps can't be undone any more.
    pub(super) forgotten: usize,
    /// Case and trials, as [`super::standing`] writes them.
    pub(super) lines: Vec<String>,
}

impl Stood {
    /// `2400 changes since 2026-02-11 21:40:03-05:00, 1400 steps forgotten, told in 1003`,
    /// and the lines of case and trials.
    fn written(&self) -> String {
        let since = self
            .first
            .as_ref()
            .map_or(String::new(), |first| format!(" since {first}"));
        let head = format!(
            "{} changes{since}, {} steps forgotten, told in {}",
            self.changes, self.forgotten, self.records
        );
        let lines = std::iter::once(&head).chain(&self.lines);
        lines.map(String::as_str).collect::<Vec<_>>().join("\n")
    }

    fn read(text: &str) -> Option<Stood> {
        let mut lines = text.split('\n');
        let (changes, rest) = lines.next()?.split_once(" changes")?;
        let (since, rest) = rest.split_once(", ")?;
        let (forgotten, records) = rest.split_once(" steps forgotten, told in ")?;
        Some(Stood {
            changes: changes.parse().ok()?,
            first: since.strip_prefix(" since ").map(str::to_owned),
            records: records.parse().ok()?,
            forgotten: forgotten.parse().ok()?,
            lines: lines.map(str::to_owned).collect(),
        })
    }
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
            Event::Stood { stood, .. } => Some(stood.written()),
            Event::File(_) => None,
        }
    }

    /// About so many bytes.
    pub(super) fn size(&self) -> usize {
        match &self.event {
            Event::Act { act, .. } => act.typed().len(),
            _ => 0,
        }
    }

    /// The act's mark and number of trials.
    pub(super) fn left(&self) -> Option<(Mark, usize)> {
        match &self.event {
            Event::Act { text, trials, .. } | Event::Stood { text, trials, .. } => Some((*text, *trials)),
            Event::File(_) => None,
        }
    }

    pub(super) fn is_act(&self) -> bool {
        matches!(self.event, Event::Act { .. })
    }

    fn ending(&self) -> String {
        let when = &self.when;
        match &self.event {
            Event::Act { act, text, trials } => {
                format!("{} {when} text {} trials {trials}", act.word(), shown(*text))
            }
            Event::Stood { text, trials, .. } => format!("stood {when} text {} trials {trials}", shown(*text)),
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
    /// What was typed in the record that breaks off, as far as it can be read.
    pub(super) torn: String,
    file: Mark,
    length: usize,
    bytes: usize,
    /// Whether the last line has no end.
    open: bool,
    chain: u64,
}

/// The changes since the file was saved or read.
#[derive(Clone, Copy, Debug)]
pub(super) struct Changes<'a> {
    /// How many.
    pub(super) count: usize,
    /// When the first was made.
    pub(super) first: Option<&'a str>,
    /// The last of them.
    pub(super) last: Option<&'a Act>,
}

/// How a journal ends.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum End {
    /// With a whole record.
    Whole,
    /// In the middle of one, as when the power fails.
    BrokenOff,
    /// From this line on it can't be read, and more follows.
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
    /// A journal that can't be read from its beginning on.
    Damaged,
    /// Something else, or of another version.
    Foreign,
}

impl Written {
    /// The file it belongs to: as it was when the session began, saved or read last.
    fn file(&self) -> Mark {
        let mut files = self.records.iter().filter_map(|record| match record.event {
            Event::File(mark) => Some(mark),
            _ => None,
        });
        files.next_back().unwrap_or(self.file)
    }

    /// The text and the number of trials at its end.
    pub(super) fn last(&self) -> (Mark, usize) {
        let mut left = self.records.iter().filter_map(Record::left);
        left.next_back().unwrap_or_else(|| (Mark::of(&self.start), 0))
    }

    /// Whether it belongs to a file with this text: the one it began with, or one that
    /// was saved from it.
    pub(super) fn belongs_to(&self, file: Mark) -> bool {
        self.file() == file || self.last().0 == file
    }

    /// Whether nothing of it would be lost with a file of this text: all of it stands
    /// there, or it was saved and nothing was done since.
    pub(super) fn is_saved_in(&self, file: Mark) -> bool {
        let (text, trials) = self.last();
        trials == 0 && (text == file || text == self.file()) && self.end.is_sound()
    }

    /// The changes since the file was saved or read.
    pub(super) fn changes(&self) -> Changes<'_> {
        let saved = |record: &Record| matches!(record.event, Event::File(_));
        let from = self.records.iter().rposition(saved).map_or(0, |place| place + 1);
        let since = self.records.get(from..).unwrap_or_default();
        let count = since.iter().filter(|record| record.is_act()).count();
        let mut acts = since.iter().filter(|record| record.is_act());
        let (count, first) = match since.first().map(|record| &record.event) {
            Some(Event::Stood { stood, .. }) => {
                let after = count.saturating_sub(stood.records);
                let fresh = acts.clone().nth(stood.records).map(|record| record.when.as_str());
                (stood.changes.saturating_add(after), stood.first.as_deref().or(fresh))
            }
            _ => (count, acts.clone().next().map(|record| record.when.as_str())),
        };
        let last = acts.next_back().filter(|_| count > 0);
        Changes {
            count,
            first,
            last: last.and_then(|record| match &record.event {
                Event::Act { act, .. } => Some(act),
                _ => None,
            }),
        }
    }
}

impl End {
    /// Whether nothing whole was left out.
    pub(super) fn is_sound(self) -> bool {
        !matches!(self, End::Damaged(_))
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
        return match reader.end() {
            End::Damaged(_) => Content::Damaged,
            _ => Content::Begun,
        };
    };
    if ending.word != "began" {
        return Content::Damaged;
    }
    let mut records = Vec::new();
    while let Some(record) = reader.event() {
        records.push(record);
    }
    Content::Written(Box::new(Written {
        start,
        records,
        end: reader.end(),
        torn: reader.torn(),
        open: reader.rest.is_empty() && !bytes.ends_with(b"\n"),
        file: ending.text,
        length: reader.length,
        bytes: bytes.len(),
        chain: reader.chain,
    }))
}

/// Walks through the records; what is whole moves `length` and `chain` on.
#[derive(Clone, Copy)]
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
            ("stood", Some(body)) => Event::Stood {
                stood: Stood::read(&body)?,
                text: self.text,
                trials: self.trials,
            },
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

    /// The next record that says something; one that doesn't is left where it is.
    fn event(&mut self) -> Option<Record> {
        let before = *self;
        let record = self.record().and_then(|(body, ending)| ending.record(body));
        if record.is_none() {
            *self = before;
        }
        record
    }

    /// The next record, where it is whole and its checksum fits.
    fn record(&mut self) -> Option<(Option<String>, Ending)> {
        let mut rest = self.rest;
        let mut lines = Vec::new();
        loop {
            // Some editors take the last line end away.
            let (line, after) = split_line(rest).or((!rest.is_empty()).then_some((rest, &[][..])))?;
            let line = std::str::from_utf8(line).ok()?;
            rest = after;
            match line.strip_prefix('|') {
                Some(_) if rest.is_empty() => return None,
                Some(body) => lines.push(bare(body.strip_prefix(' ').unwrap_or(body))?),
                None => {
                    let (ending, check) = line.rsplit_once(" check ")?;
                    let taken = self.rest.len() - rest.len();
                    let body = (!lines.is_empty()).then(|| lines.join("\n"));
                    let chain = chained(self.chain, body.as_deref(), ending);
                    if check != format!("{chain:016x}") {
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

    /// The beginning of a record that breaks off.
    fn torn(&self) -> String {
        let rest = String::from_utf8_lossy(self.rest);
        let typed = rest.lines().filter_map(|line| line.strip_prefix("| "));
        let typed: Vec<&str> = typed.map(str::trim).filter(|line| !line.is_empty()).collect();
        typed.join(" ").chars().take(LONGEST_TORN).collect()
    }

    /// A torn end is the beginning of one record; whatever else follows is damage.
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

/// So many characters of it are told.
const LONGEST_TORN: usize = 200;

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

/// No journal of ours is longer, in bytes.
const LONGEST_JOURNAL: u64 = 1 << 30;

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
        if self.file.metadata()?.len() > LONGEST_JOURNAL {
            return Err(io::ErrorKind::FileTooLarge.into());
        }
        let mut bytes = Vec::new();
        self.file.seek(SeekFrom::Start(0))?;
        self.file.read_to_end(&mut bytes)?;
        Ok(read(&bytes))
    }

    /// Removes the file, where it is still this one.
    pub(super) fn remove(self) -> io::Result<()> {
        if is_still(&self.file, &self.path) {
            fs::remove_file(&self.path)?;
            settle_name(&self.path);
        }
        Ok(())
    }

    /// Puts a file with this content, locked, in the place of this one, whole or not at all.
    fn replace(&mut self, content: &str) -> io::Result<()> {
        let permissions = self.file.metadata()?.permissions();
        let part = part_beside(&self.path, content, Some(permissions))?;
        part.as_file().try_lock()?;
        self.file = part.persist(&self.path).map_err(|trouble| trouble.error)?;
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

/// So much may be added to a journal before it is written anew in short form.
const MOST_ADDED: usize = 256 * 1024;

/// So much is held back while the disk takes nothing.
const MOST_WAITING: usize = 1024 * 1024;

/// A whole journal, to be written in one go.
pub(super) struct Whole {
    content: String,
    chain: u64,
}

impl Whole {
    /// The journal that begins with this text, belongs to this file, and tells this.
    pub(super) fn of(start: &str, file: Mark, records: &[Record]) -> Whole {
        let mut content = format!("{OPENING}{EXPLAINED}");
        let ending = format!("began {} text {} trials 0", now(), shown(file));
        let (text, mut chain) = encoded(SEED, Some(start), &ending);
        content.push_str(&text);
        for record in records {
            let (text, next) = encoded(chain, record.body().as_deref(), &record.ending());
            content.push_str(&text);
            chain = next;
        }
        Whole { content, chain }
    }
}

/// The journal of a session.
#[derive(Debug)]
pub(super) struct Journal {
    slot: Slot,
    has_begun: bool,
    /// So many bytes are whole and settled on the disk.
    length: usize,
    /// So many bytes the file has.
    bytes: usize,
    /// So many it had when it was written anew.
    short: usize,
    /// The checksum of the last record.
    chain: u64,
    /// What couldn't be written yet.
    waiting: String,
    /// Whether records were let go that couldn't be written.
    behind: bool,
    troubled: bool,
    changes: usize,
    first: Option<String>,
}

/// How the next record gets into a journal.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Way {
    /// Behind the last one.
    Append,
    /// The journal has grown long, and is written anew in short form.
    Short,
    /// Nothing is there to append to; the journal is written anew.
    Whole,
    /// The file is gone or somebody changed it: the journal goes into another.
    Elsewhere,
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
    pub(super) fn begin(slot: Slot) -> Journal {
        Journal {
            slot,
            has_begun: false,
            length: 0,
            bytes: 0,
            short: 0,
            chain: SEED,
            waiting: String::new(),
            behind: false,
            troubled: false,
            changes: 0,
            first: None,
        }
    }

    /// Goes on with a journal that was left; what broke off is cut away with the next record.
    pub(super) fn resume(slot: Slot, written: &Written) -> Journal {
        Journal {
            has_begun: true,
            length: written.length,
            bytes: written.bytes,
            chain: written.chain,
            waiting: if written.open { "\n".to_owned() } else { String::new() },
            ..Journal::begin(slot)
        }
        .with_changes(written)
    }

    /// With as many changes as were counted there.
    pub(super) fn with_changes(mut self, written: &Written) -> Journal {
        let changes = written.changes();
        self.changes = changes.count;
        self.first = changes.first.map(str::to_owned);
        self
    }

    /// Whether anything was noted in it.
    pub(super) fn has_begun(&self) -> bool {
        self.has_begun
    }

    /// Whether all that was noted is on the disk.
    pub(super) fn is_settled(&self) -> bool {
        self.has_begun && self.waiting.is_empty() && !self.behind && self.is_ours()
    }

    /// The file.
    pub(super) fn path(&self) -> &Path {
        &self.slot.path
    }

    /// The changes since the file was saved or read, and when the first was made.
    pub(super) fn changes(&self) -> (usize, Option<String>) {
        (self.changes, self.first.clone())
    }

    /// Counts a record that is to be noted.
    pub(super) fn count(&mut self, record: &Record) {
        match record.event {
            Event::File(_) => (self.changes, self.first) = (0, None),
            _ => {
                self.changes += 1;
                self.first.get_or_insert_with(|| record.when.clone());
            }
        }
    }

    /// How the next record gets in.
    pub(super) fn way(&self) -> Way {
        if !self.is_ours() {
            return Way::Elsewhere;
        }
        match self.length > 2 * self.short + MOST_ADDED {
            _ if !self.has_begun || self.behind => Way::Whole,
            true => Way::Short,
            false => Way::Append,
        }
    }

    /// Whether the file is as it was written.
    fn is_ours(&self) -> bool {
        let length = self.slot.file.metadata().map(|about| about.len());
        let untouched = self.troubled || length.is_ok_and(|length| length == self.bytes as u64);
        untouched && is_still(&self.slot.file, &self.slot.path)
    }

    /// Appends a record and settles it on the disk.
    pub(super) fn append(&mut self, record: &Record) -> Noted {
        let (text, chain) = encoded(self.chain, record.body().as_deref(), &record.ending());
        self.chain = chain;
        self.waiting.push_str(&text);
        let written = self.settle();
        self.noted(written)
    }

    /// Writes all of it anew, whole or not at all.
    pub(super) fn write(&mut self, whole: &Whole) -> Noted {
        let written = self.put(whole);
        self.noted(written)
    }

    /// Writes all of it anew because it has grown. Where that can't be, the record is
    /// appended, and the journal may grow again by as much.
    pub(super) fn shorten(&mut self, whole: &Whole, last: &Record) -> Noted {
        match self.put(whole) {
            Ok(()) => self.noted(Ok(())),
            Err(_) => {
                self.short = self.length;
                self.append(last)
            }
        }
    }

    fn put(&mut self, whole: &Whole) -> io::Result<()> {
        self.slot.replace(&whole.content)?;
        self.has_begun = true;
        self.behind = false;
        self.waiting.clear();
        self.chain = whole.chain;
        self.length = whole.content.len();
        (self.bytes, self.short) = (self.length, self.length);
        Ok(())
    }

    /// Goes on in another file, which is written next; the one it had is left.
    pub(super) fn leave_for(&mut self, slot: Slot) {
        self.slot = slot;
        self.has_begun = false;
        self.waiting.clear();
        (self.length, self.bytes, self.short) = (0, 0, 0);
    }

    /// That there is nowhere to write to.
    pub(super) fn nowhere(&mut self, why: &str) -> Noted {
        self.noted(Err(io::Error::other(why)))
    }

    fn noted(&mut self, written: io::Result<()>) -> Noted {
        match (written, std::mem::replace(&mut self.troubled, false)) {
            (Ok(()), false) => Noted::Settled,
            (Ok(()), true) => Noted::Again,
            (Err(trouble), known) => {
                self.troubled = true;
                self.hold_back();
                match known {
                    true => Noted::Waiting,
                    false => Noted::Trouble(trouble),
                }
            }
        }
    }

    /// What waits for too long is let go; the session knows it, and writes all anew.
    fn hold_back(&mut self) {
        if self.waiting.len() > MOST_WAITING {
            self.waiting = String::new();
            self.behind = true;
        }
    }

    /// Writes what waits; what could be written only in part is taken back.
    fn settle(&mut self) -> io::Result<()> {
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
        self.bytes = self.length;
        self.waiting.clear();
        Ok(())
    }

    /// Puts the journal away.
    pub(super) fn remove(self) -> io::Result<()> {
        self.slot.remove()
    }
}

/// So many sessions on one worksheet, or journals left of it, have a file.
const MOST_SLOTS: usize = 9;

/// The files that a journal may stand in, in this folder.
fn names(folder: &Path, stem: &OsStr) -> Vec<PathBuf> {
    let numbered = (1..=MOST_SLOTS).map(|number| {
        let mut name = stem.to_owned();
        name.push(".unsaved");
        if number > 1 {
            name.push(format!("-{number}"));
        }
        folder.join(name)
    });
    numbered.collect()
}

/// The name beside the worksheet: `.ridge.tare.unsaved`.
pub(super) fn beside(path: &Path) -> Vec<PathBuf> {
    let mut stem = OsString::from(".");
    stem.push(path.file_name().unwrap_or_default());
    names(&folder_of(path), &stem)
}

/// The name in the state folder, where all worksheets' journals stand.
pub(super) fn in_state(state: &Path, name: &str, whole: &Path) -> Vec<PathBuf> {
    let short: String = name.chars().take(40).collect();
    let sum = checksum(SEED, whole.as_os_str().as_encoded_bytes());
    names(&state.join("unsaved"), OsStr::new(&format!("{short}-{sum:016x}")))
}
