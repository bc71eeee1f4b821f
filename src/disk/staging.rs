//! The folder of a run's own in which its files are made, and the removal of those that dead runs left behind. Knows
//! names and locks, not what is in the files.
//!
//! Files are made in `.cockpit-cards-XXXXXX`, a new folder inside the one they go to, so that moving them is a renaming.
//! The folder holds an empty file `lock`, whose lock the run keeps for as long as it lives; the system lets go of it when
//! the process ends, however it ends. So a folder whose lock can be had belongs to nobody any more.
//!
//! Nothing is made in the folder before the lock is held and seen to be still there: whoever takes the folder of a
//! starting run for a dead one's removes its lock, and the starting run begins again under another name. A file system
//! that knows no locks lets nobody have one, so there nothing is ever removed.

use std::ffi::OsStr;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io;
use std::path::{Path, PathBuf};

use tempfile::TempDir;

/// How the name of such a folder begins.
const PREFIX: &str = ".cockpit-cards-";
/// Letters and digits after it.
const RANDOM_CHARACTERS: usize = 6;
const LOCK: &str = "lock";
/// Another run has to look at just the moment between two calls of ours to spoil one of these.
const ATTEMPTS: usize = 50;

/// A folder of this run's own; it goes with all in it when dropped.
#[derive(Debug)]
pub(crate) struct Staging {
    // Let go of before the folder is removed: some systems remove no file that is open.
    _lock: File,
    folder: TempDir,
    made: usize,
}

impl Staging {
    /// Makes one in `inside`, and removes those of dead runs there.
    ///
    /// # Errors
    /// Whatever the disk reports.
    pub fn new(inside: &Path) -> io::Result<Staging> {
        remove_abandoned(inside);
        for _ in 0..ATTEMPTS {
            let folder = tempfile::Builder::new()
                .prefix(PREFIX)
                .rand_bytes(RANDOM_CHARACTERS)
                .tempdir_in(inside)
                .map_err(plain)?;
            if let Some(lock) = lock_new(&folder.path().join(LOCK))? {
                return Ok(Staging { _lock: lock, folder, made: 0 });
            }
        }
        Err(io::Error::other("too many runs are at work in this folder"))
    }

    /// A path for one more file.
    pub fn next(&mut self) -> PathBuf {
        self.made += 1;
        self.folder.path().join(self.made.to_string())
    }
}

/// Behind these words stands the path of a file that nobody has heard of.
const AT_PATH: &str = " at path ";

/// What the system said, without that path.
fn plain(error: io::Error) -> io::Error {
    match error.to_string().split_once(AT_PATH) {
        Some((said, _)) => io::Error::new(error.kind(), said),
        None => error,
    }
}

/// Makes a lock file and takes its lock; `None` if another run took the folder for a dead one's meanwhile.
fn lock_new(path: &Path) -> io::Result<Option<File>> {
    let file = match OpenOptions::new().write(true).create_new(true).open(path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
        file => file?,
    };
    match file.try_lock() {
        Err(TryLockError::WouldBlock) => return Ok(None),
        // Where nobody can lock, nobody else can either.
        Ok(()) | Err(TryLockError::Error(_)) => {}
    }
    Ok(path.try_exists()?.then_some(file))
}

/// Removes what runs that were killed left in `inside`. Nothing is said of what cannot be removed: it is in no one's way.
fn remove_abandoned(inside: &Path) {
    for entry in fs::read_dir(inside).into_iter().flatten().flatten() {
        if is_ours(&entry.file_name()) && entry.file_type().is_ok_and(|kind| kind.is_dir()) {
            remove_if_dead(&entry.path());
        }
    }
}

fn is_ours(name: &OsStr) -> bool {
    let rest = name.to_str().and_then(|name| name.strip_prefix(PREFIX));
    rest.is_some_and(|rest| rest.len() == RANDOM_CHARACTERS && rest.chars().all(|c| c.is_ascii_alphanumeric()))
}

fn remove_if_dead(folder: &Path) {
    // Listed before the lock is tried: what was there by then was made under a lock that its run had already, so if the
    // lock is free or gone, that run is.
    let made: Vec<PathBuf> = fs::read_dir(folder).into_iter().flatten().flatten().filter_map(made_by_us).collect();
    let path = folder.join(LOCK);
    let lock = match fs::symlink_metadata(&path) {
        Ok(there) if there.is_file() => match OpenOptions::new().write(true).open(&path) {
            Ok(lock) if lock.try_lock().is_ok() => Some(lock),
            Err(error) if error.kind() == io::ErrorKind::NotFound => None,
            _ => return,
        },
        Err(error) if error.kind() == io::ErrorKind::NotFound => None,
        _ => return,
    };
    for file in made {
        let _ = fs::remove_file(file);
    }
    if lock.is_some() {
        let _ = fs::remove_file(&path);
    }
    drop(lock);
    // Stays if there is anything in it that we did not make.
    let _ = fs::remove_dir(folder);
}

/// The path of an entry that can be a file in the making.
fn made_by_us(entry: fs::DirEntry) -> Option<PathBuf> {
    let is_number = entry.file_name().to_str().is_some_and(|name| name.bytes().all(|byte| byte.is_ascii_digit()));
    (is_number && entry.file_type().is_ok_and(|kind| kind.is_file())).then(|| entry.path())
}
