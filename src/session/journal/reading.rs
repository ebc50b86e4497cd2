//! Reading a journal: what a file of its name holds, as far as it is whole.
//!
//! A record that isn't whole ends the reading; whether it only breaks off or the
//! file is damaged in its middle is told apart. What is done with a journal that
//! was left is in [`crate::session::unsaved`]. Start reading at [`read`].

use super::act::Act;
use super::format::{Event, OPENING, Record, Stood, bare, chained};
use super::mark::{Mark, SEED};

/// What a journal holds, as far as it can be read.
#[derive(Clone, Debug)]
pub(in crate::session) struct Written {
    /// The text it started from.
    pub(in crate::session) start: String,
    /// Its records.
    pub(in crate::session) records: Vec<Record>,
    /// What follows the last whole record.
    pub(in crate::session) end: End,
    /// What was typed in the record that breaks off, as far as it can be read.
    pub(in crate::session) torn: String,
    pub(super) file: Mark,
    pub(super) length: usize,
    pub(super) bytes: usize,
    /// Whether the last line has no end.
    pub(super) open: bool,
    pub(super) chain: u64,
}

/// The changes since the file was saved or read.
#[derive(Clone, Copy, Debug)]
pub(in crate::session) struct Changes<'a> {
    /// How many.
    pub(in crate::session) count: usize,
    /// When the first was made.
    pub(in crate::session) first: Option<&'a str>,
    /// The last of them.
    pub(in crate::session) last: Option<&'a Act>,
}

/// How a journal ends.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(in crate::session) enum End {
    /// With a whole record.
    Whole,
    /// In the middle of one, as when the power fails.
    BrokenOff,
    /// From this line on it can't be read, and more follows.
    Damaged(usize),
}

/// What a file of a journal's name is.
#[derive(Debug)]
pub(in crate::session) enum Content {
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
    pub(in crate::session) fn last(&self) -> (Mark, usize) {
        let mut left = self.records.iter().filter_map(Record::left);
        left.next_back().unwrap_or_else(|| (Mark::of(&self.start), 0))
    }

    /// Whether it belongs to a file with this text: the one it began with, or one that
    /// was saved from it.
    pub(in crate::session) fn belongs_to(&self, file: Mark) -> bool {
        self.file() == file || self.last().0 == file
    }

    /// Whether nothing of it would be lost with a file of this text: all of it stands
    /// there, or it was saved and nothing was done since.
    pub(in crate::session) fn is_saved_in(&self, file: Mark) -> bool {
        let (text, trials) = self.last();
        let rows = self.records.iter().rposition(|record| record.in_file().is_some());
        let noted = self
            .records
            .iter()
            .rposition(|record| matches!(record.event, Event::File(_)));
        // rows of a table's file may stand in the journal alone
        let in_files = rows.is_none() || rows < noted;
        trials == 0 && in_files && (text == file || text == self.file()) && self.end.is_sound()
    }

    /// The changes since the file was saved or read.
    pub(in crate::session) fn changes(&self) -> Changes<'_> {
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
    pub(in crate::session) fn is_sound(self) -> bool {
        !matches!(self, End::Damaged(_))
    }
}

/// Reads what a journal's file holds; what is broken is left out, and said.
pub(in crate::session) fn read(bytes: &[u8]) -> Content {
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
