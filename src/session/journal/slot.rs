//! The file of a journal: where it may stand, opened and locked.
//!
//! The lock ends with the process, however that ends, so that a second session
//! knows of the first. What the file holds is left to [`super::reading`].
//! Start reading at [`Slot`] and [`beside`].

use std::ffi::{OsStr, OsString};
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};

use super::mark::{SEED, checksum};
use super::reading::{Content, read};
use crate::session::disk::{folder_of, is_still, part_beside, settle_name};

/// No journal of ours is longer, in bytes.
const LONGEST_JOURNAL: u64 = 1 << 30;

/// A journal's file, open and locked.
#[derive(Debug)]
pub(in crate::session) struct Slot {
    pub(in crate::session) path: PathBuf,
    pub(super) file: File,
}

/// Why there is no slot.
pub(in crate::session) enum Unopened {
    /// Another session has it.
    InHand,
    /// There is no such file, or it can't be used.
    Trouble(io::Error),
}

/// Whether a file that isn't there is made.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(in crate::session) enum Making {
    /// It is made.
    New,
    /// Only one that is there.
    Old,
}

impl Slot {
    /// Opens and locks a journal's file. The lock ends with the process, however that ends.
    pub(in crate::session) fn open(path: &Path, making: Making, like: Option<&Path>) -> Result<Slot, Unopened> {
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
    pub(in crate::session) fn content(&mut self) -> io::Result<Content> {
        if self.file.metadata()?.len() > LONGEST_JOURNAL {
            return Err(io::ErrorKind::FileTooLarge.into());
        }
        let mut bytes = Vec::new();
        self.file.seek(SeekFrom::Start(0))?;
        self.file.read_to_end(&mut bytes)?;
        Ok(read(&bytes))
    }

    /// Removes the file, where it is still this one.
    pub(in crate::session) fn remove(self) -> io::Result<()> {
        if is_still(&self.file, &self.path) {
            fs::remove_file(&self.path)?;
            settle_name(&self.path);
        }
        Ok(())
    }

    /// Puts a file with this content, locked, in the place of this one, whole or not at all.
    pub(super) fn replace(&mut self, content: &str) -> io::Result<()> {
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
pub(in crate::session) fn beside(path: &Path) -> Vec<PathBuf> {
    let mut stem = OsString::from(".");
    stem.push(path.file_name().unwrap_or_default());
    names(&folder_of(path), &stem)
}

/// The name in the state folder, where all worksheets' journals stand.
pub(in crate::session) fn in_state(state: &Path, name: &str, whole: &Path) -> Vec<PathBuf> {
    let short: String = name.chars().take(40).collect();
    let sum = checksum(SEED, whole.as_os_str().as_encoded_bytes());
    names(&state.join("unsaved"), OsStr::new(&format!("{short}-{sum:016x}")))
}
