//! What changes a session, and how it is written into a journal and read again.
//!
//! What was typed stands there as it can be typed once more, with a word that
//! says what it did. How records hold it is in [`super::format`], how it is done
//! again in [`crate::session::unsaved`]. Start reading at [`Act`].

use super::mark::Mark;

/// The file of a table that an act changed: its text before and after.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(in crate::session) struct InFile {
    pub(in crate::session) path: String,
    pub(in crate::session) before: Mark,
    pub(in crate::session) after: Mark,
}

impl InFile {
    /// `812 5f2e8c0a91b3d644 840 0c1d… run.csv`
    fn written(&self) -> String {
        format!("{} {} {}", self.before.written(), self.after.written(), self.path)
    }

    fn read(text: &str) -> Option<InFile> {
        let mut parts = text.splitn(5, ' ');
        let mut mark = || {
            Some(Mark {
                length: parts.next()?.parse().ok()?,
                sum: u64::from_str_radix(parts.next()?, 16).ok()?,
            })
        };
        let (before, after) = (mark()?, mark()?);
        let path = parts.next()?.to_owned();
        Some(InFile { path, before, after })
    }
}

/// What changes a session, with all it takes to do it again.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(in crate::session) enum Act {
    /// `measured gross = 44.1 lb`
    Enter(String),
    /// `edit gross`, then the line as it is now
    Edit { name: String, text: String },
    /// `add run time 12:10, gross 30.7 lb`, with the clock that it took
    Add { line: String, in_file: Option<InFile> },
    /// `remove run of row 3`, by its number
    RemoveRow { line: String, in_file: Option<InFile> },
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
    pub(super) fn word(&self) -> &'static str {
        match self {
            Act::Enter(_) => "entered",
            Act::Edit { .. } => "edited",
            Act::Try { value: None, .. } => "tried",
            Act::Try { value: Some(_), .. } => "worked-out",
            Act::Add { .. } => "added",
            Act::RemoveRow { .. } => "took-out",
            Act::KeepPlot(_) => "kept-plot",
            Act::Reload(_) => "reloaded",
            _ => "done",
        }
    }

    /// What was typed, in lines that can be typed again.
    pub(super) fn typed(&self) -> String {
        match self {
            Act::Enter(text) | Act::KeepPlot(text) | Act::Reload(text) => text.clone(),
            Act::Edit { name, text } => format!("edit {name}\n{text}"),
            Act::Add { line, in_file } => with_file(format!("add {line}"), in_file.as_ref()),
            Act::RemoveRow { line, in_file } => with_file(format!("remove {line}"), in_file.as_ref()),
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
    pub(super) fn read(word: &str, typed: &str) -> Option<Act> {
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
            "added" => {
                let (line, in_file) = without_file(typed.strip_prefix("add ")?)?;
                Act::Add { line, in_file }
            }
            "took-out" => {
                let (line, in_file) = without_file(typed.strip_prefix("remove ")?)?;
                Act::RemoveRow { line, in_file }
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
    pub(in crate::session) fn first_line(&self) -> String {
        match self {
            Act::Reload(_) => "reload".to_owned(),
            Act::KeepPlot(_) => "keep plot".to_owned(),
            act => act.typed().lines().next().unwrap_or("").trim().to_owned(),
        }
    }
}

/// What was typed, with a last line `= …` that tells of a table's file.
fn with_file(typed: String, in_file: Option<&InFile>) -> String {
    match in_file {
        Some(file) => format!("{typed}\n= {}", file.written()),
        None => typed,
    }
}

fn without_file(typed: &str) -> Option<(String, Option<InFile>)> {
    match typed.split_once("\n= ") {
        Some((line, file)) => Some((line.to_owned(), Some(InFile::read(file)?))),
        None => Some((typed.to_owned(), None)),
    }
}
