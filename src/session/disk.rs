//! Files on the disk: read as they are, replaced whole or not at all.
//!
//! Writing puts a file beside the old one, settles it on the disk and puts it in the old
//! one's place; permissions stay, and a link is followed. Start reading at [`read_text`] and
//! [`write_whole`].

use std::fs::{self, File, FileType, Metadata, Permissions, TryLockError};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::thread;
use std::time::Duration;

use tempfile::{Builder, NamedTempFile};

use crate::problem::Code;
use crate::syntax::LONGEST_TEXT;
use crate::text::nearest;

use super::Refusal;

/// The longest worksheet that is opened, in bytes.
pub(crate) const LONGEST_WORKSHEET: u64 = LONGEST_TEXT as u64;

/// Reads a text file whole.
///
/// # Errors
/// That it isn't there, can't be read, is too long, or where it isn't UTF-8.
pub(crate) fn read_text(path: &Path) -> Result<String, Refusal> {
    let shown = path.to_string_lossy();
    let unread = |trouble: &io::Error| {
        let message = format!("`{shown}` can't be read: {}", plain(trouble));
        let refusal = Refusal::of_file(&shown_name(path), Code::FileMissing, message);
        match trouble.kind() {
            io::ErrorKind::NotFound => refusal.help(match nearest_beside(path) {
                Some(near) => format!("write `{near}`, if that is meant"),
                None => {
                    "look at its spelling; `tarebook new` has worksheets to begin with, and `tarebook open` with a new \
name begins an empty one"
                        .to_owned()
                }
            }),
            io::ErrorKind::IsADirectory => {
                refusal.help("name a worksheet in it; for `mark` the lesson comes first and the folder behind it")
            }
            _ => refusal,
        }
    };
    if let (Ok(target), true) = (fs::read_link(path), fs::metadata(path).is_err()) {
        let message = format!("`{shown}` is a link to `{}`, which can't be read", target.display());
        return Err(Refusal::of_file(&shown_name(path), Code::FileMissing, message));
    }
    let about = fs::metadata(path).map_err(|trouble| unread(&trouble))?;
    if about.len() > LONGEST_WORKSHEET {
        return Err(too_long(&shown_name(path)));
    }
    let file = File::open(path).map_err(|trouble| unread(&trouble))?;
    let bytes = bytes_of(file, &shown_name(path), unread)?;
    decoded(bytes, &shown_name(path))
}

/// The worksheet in the same folder whose name is nearest to one that isn't there, with its folder
/// as it was typed.
pub(crate) fn nearest_beside(path: &Path) -> Option<String> {
    let wanted = path.file_name()?.to_string_lossy().into_owned();
    let names = fs::read_dir(folder_of(path)).ok()?.take(MOST_LOOKED_AT).flatten();
    let names = names.filter(|entry| entry.file_type().is_ok_and(|kind| !kind.is_dir()));
    let names = names.map(|entry| entry.file_name().to_string_lossy().into_owned());
    let mut names: Vec<String> = names.filter(|name| name.ends_with(ENDING)).collect();
    names.sort_unstable();
    let stem = |name: &str| name.strip_suffix(ENDING).unwrap_or(name).to_owned();
    let stems: Vec<String> = names.iter().map(|name| stem(name)).collect();
    let near = nearest(&stem(&wanted), stems.iter().map(String::as_str))?;
    let near = path.with_file_name(format!("{near}{ENDING}"));
    Some(near.display().to_string())
}

/// How the name of a worksheet ends.
const ENDING: &str = ".tare";

/// So many names of a folder are looked at.
const MOST_LOOKED_AT: usize = 10_000;

/// The text that a stream gives; one without an end is given up.
///
/// # Errors
/// That it can't be read, is too long, or where it isn't UTF-8.
pub fn read_stream(stream: impl Read, name: &str) -> Result<String, Refusal> {
    let unread = |trouble: &io::Error| Refusal::new(format!("{name} can't be read: {}", plain(trouble)));
    decoded(bytes_of(stream, name, unread)?, name)
}

/// All bytes of a stream, which need not know its own length.
fn bytes_of(stream: impl Read, name: &str, unread: impl Fn(&io::Error) -> Refusal) -> Result<Vec<u8>, Refusal> {
    let mut bytes = Vec::new();
    let mut capped = stream.take(LONGEST_WORKSHEET + 1);
    capped.read_to_end(&mut bytes).map_err(|trouble| unread(&trouble))?;
    if bytes.len() as u64 > LONGEST_WORKSHEET {
        return Err(too_long(name));
    }
    Ok(bytes)
}

fn too_long(name: &str) -> Refusal {
    let message = format!("`{name}` is longer than {} MiB", LONGEST_WORKSHEET >> 20);
    let refusal = Refusal::of_file(name, Code::FileTooLong, message);
    refusal.help("put long tables into files of their own, read with `csv(\"…\")`")
}

/// The text of bytes that came from `name`.
fn decoded(bytes: Vec<u8>, name: &str) -> Result<String, Refusal> {
    String::from_utf8(bytes).map_err(|trouble| {
        let good = trouble.utf8_error().valid_up_to();
        let before = trouble.as_bytes().get(..good).unwrap_or_default();
        let line = before.iter().filter(|byte| **byte == b'\n').count() + 1;
        let message = format!("`{name}` isn't UTF-8 text: byte {good} (line {line}) can't be read");
        Refusal::of_file(name, Code::NotUtf8, message).help("save it as UTF-8 in your editor")
    })
}

/// The system's words without its error number.
pub fn plain(trouble: &io::Error) -> String {
    let words = trouble.to_string();
    words.split(" (os error").next().unwrap_or(&words).to_lowercase()
}

/// Replaces a file whole or not at all; a link is followed and permissions stay.
/// `elsewhere` is what to do where the folder or the file can't be written.
///
/// # Errors
/// Why it can't be written; the file is as it was.
pub(crate) fn write_whole(path: &Path, text: &str, elsewhere: &str) -> Result<(), Refusal> {
    let refuse = |trouble: io::Error| unwritten(path, &trouble, elsewhere);
    let target = followed(path);
    refuse_no_file(path, &target, elsewhere)?;
    let kept = fs::metadata(&target).ok().map(|about| about.permissions());
    if kept.as_ref().is_some_and(Permissions::readonly) {
        return Err(refuse(io::Error::new(
            io::ErrorKind::PermissionDenied,
            "it is read-only",
        )));
    }
    put_in_place(&target, text, kept).map_err(refuse)
}

/// What is no file, such as a device, would be one once it is replaced.
pub(super) fn refuse_no_file(path: &Path, target: &Path, elsewhere: &str) -> Result<(), Refusal> {
    let Some(what) = fs::metadata(target).ok().and_then(|about| no_file(about.file_type())) else {
        return Ok(());
    };
    let message = format!("`{}` is {what} and no file; nothing was saved", path.display());
    Err(Refusal::new(message).help(format!("`{elsewhere}` puts it somewhere else")))
}

/// What somebody saves over is named, and not reached by way of another name.
pub(super) fn refuse_link(path: &Path) -> Result<(), Refusal> {
    let Ok(target) = fs::read_link(path) else {
        return Ok(());
    };
    let (shown, target) = (path.display(), folder_of(path).join(target));
    let message = format!("`{shown}` is a link to `{}`; nothing was saved", target.display());
    Err(Refusal::new(message).help("`save as FILE` puts it somewhere else"))
}

/// What something is that is no file; `None` for a file.
fn no_file(kind: FileType) -> Option<&'static str> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::FileTypeExt;
        if kind.is_char_device() || kind.is_block_device() {
            return Some("a device");
        }
        if kind.is_fifo() {
            return Some("a pipe");
        }
    }
    match (kind.is_file(), kind.is_dir()) {
        (true, _) => None,
        (_, true) => Some("a folder"),
        _ => Some("something else"),
    }
}

pub(super) fn unwritten(path: &Path, trouble: &io::Error, elsewhere: &str) -> Refusal {
    let reason = plain(trouble);
    let message = format!("`{}` can't be written: {reason}; nothing was saved", path.display());
    Refusal::new(message).help(format!("`{elsewhere}` puts it somewhere else"))
}

/// Writes a file that isn't there yet, whole or not at all; what is there stays.
///
/// # Errors
/// That something is there already, or why it can't be written.
pub(crate) fn write_new(path: &Path, text: &str) -> Result<(), Refusal> {
    let there = || {
        let message = format!("`{}` is there already; nothing was written", path.display());
        Refusal::new(message).help("give it another name")
    };
    if fs::symlink_metadata(path).is_ok() {
        return Err(there());
    }
    put_new(path, text).map_err(|trouble| match trouble.kind() {
        io::ErrorKind::AlreadyExists => there(),
        _ => {
            let reason = plain(&trouble);
            let message = format!("`{}` can't be written: {reason}; nothing was written", path.display());
            Refusal::new(message).help("give it a name in a folder that is there and can be written")
        }
    })
}

pub(super) fn put_new(path: &Path, text: &str) -> io::Result<()> {
    let file = part_beside(path, text, None)?;
    file.persist_noclobber(path).map_err(|trouble| trouble.error)?;
    settle_name(path);
    Ok(())
}

fn put_in_place(target: &Path, text: &str, kept: Option<Permissions>) -> io::Result<()> {
    let file = part_beside(target, text, kept)?;
    file.persist(target).map_err(|trouble| trouble.error)?;
    settle_name(target);
    Ok(())
}

/// How a file is called until it is whole.
const PART: (&str, &str) = (".tarebook-", ".part");

/// A file in the same folder, with the text settled on the disk, to be put in place.
pub(super) fn part_beside(target: &Path, text: &str, kept: Option<Permissions>) -> io::Result<NamedTempFile> {
    let folder = folder_of(target);
    let mut builder = Builder::new();
    builder.prefix(PART.0).suffix(PART.1);
    let fresh = fresh_permissions();
    if let Some(fresh) = fresh.filter(|_| kept.is_none()) {
        builder.permissions(fresh);
    }
    let mut file = builder.tempfile_in(&folder)?;
    file.write_all(text.as_bytes())?;
    if let Some(kept) = kept {
        file.as_file().set_permissions(kept)?;
    }
    file.as_file().sync_all()?;
    Ok(file)
}

/// Removes what writing broke off in this folder; what is younger may still be at work.
pub(super) fn sweep_parts(folder: &Path) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let name = entry.file_name();
        let name = name.to_string_lossy();
        let is_part = name.starts_with(PART.0) && name.ends_with(PART.1);
        if is_part && entry.metadata().is_ok_and(|about| about.is_file() && is_old(&about)) {
            // It is litter, and no trouble where it stays.
            let _ = fs::remove_file(entry.path());
        }
    }
}

fn is_old(about: &Metadata) -> bool {
    let age = about.modified().ok().and_then(|when| when.elapsed().ok());
    age.is_some_and(|age| age > Duration::from_secs(600))
}

/// Whether the file is still the one of that name.
pub(super) fn is_still(file: &File, path: &Path) -> bool {
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

/// Holds a file that is about to be replaced, so that of two sessions that save at the same
/// moment the second sees what the first wrote. Without it where the system has no locks, or
/// another program keeps the file for long.
pub(super) fn held(target: &Path) -> Option<File> {
    for _ in 0..200 {
        if !fs::metadata(target).is_ok_and(|about| about.is_file()) {
            return None;
        }
        let file = File::open(target).ok()?;
        match file.try_lock() {
            Ok(()) if is_still(&file, target) => return Some(file),
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => thread::sleep(Duration::from_millis(10)),
            Err(TryLockError::Error(_)) => return None,
        }
    }
    None
}

/// The name itself is settled where the system lets a folder be synced.
pub(super) fn settle_name(target: &Path) {
    let _ = File::open(folder_of(target)).and_then(|folder| folder.sync_all());
}

/// What a new file gets, before the system's mask.
fn fresh_permissions() -> Option<Permissions> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        Some(Permissions::from_mode(0o666))
    }
    #[cfg(not(unix))]
    None
}

pub(super) fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
        _ => PathBuf::from("."),
    }
}

pub(super) fn shown_name(path: &Path) -> String {
    path.file_name()
        .unwrap_or(path.as_os_str())
        .to_string_lossy()
        .into_owned()
}

/// The file behind links; a link to nothing yet leads to where the file will be.
pub(super) fn followed(path: &Path) -> PathBuf {
    let mut at = path.to_owned();
    for _ in 0..16 {
        match fs::read_link(&at) {
            Ok(next) => at = folder_of(&at).join(next),
            Err(_) => break,
        }
    }
    at
}

/// A path, with `~/` for the user's own folder.
pub(crate) fn typed_path(text: &str) -> PathBuf {
    let home = std::env::var_os("HOME");
    match (text.strip_prefix("~/"), home) {
        (Some(rest), Some(home)) => PathBuf::from(home).join(rest),
        _ => PathBuf::from(text),
    }
}
