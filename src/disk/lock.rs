//! One run at a time over a file. Knows names and locks, not what is in the files.
//!
//! The lock of a file is a file of its own beside it, `.boat.editions.lock` for `boat.editions.yaml`, since the file itself is
//! replaced whenever it is written. It stays behind, empty: to remove it would let a run that waits for it and one that
//! makes it anew both go on. The system lets go of the lock when the process ends, however it ends.

use std::collections::BTreeMap;
use std::ffi::OsString;
use std::fs::{File, OpenOptions, TryLockError};
use std::io;
use std::path::{Path, PathBuf};

use super::named;
use super::open::{Found, open};
use super::real::identity;

/// Locks that are held until this is dropped.
#[derive(Debug)]
pub struct Locks {
    _files: Vec<File>,
}

/// The lock file of a file, beside it as it is named.
pub fn beside(file: &Path) -> PathBuf {
    let mut name = OsString::from(".");
    name.push(file.file_stem().unwrap_or_default());
    name.push(".lock");
    file.with_file_name(name)
}

/// Takes these lock files, each once. Where another run holds one, tells so by calling `waiting` and waits.
///
/// They are taken in the order of their paths, so that of two runs that want the same ones neither waits for the other
/// while the other waits for it.
///
/// # Errors
/// A folder is read-only, or the file system knows no locks.
pub fn take(files: impl IntoIterator<Item = PathBuf>, mut waiting: impl FnMut()) -> io::Result<Locks> {
    let files: BTreeMap<PathBuf, PathBuf> = files.into_iter().map(|file| (identity(&file), file)).collect();
    let taken: io::Result<Vec<File>> = files.values().map(|file| take_one(file, &mut waiting)).collect();
    Ok(Locks { _files: taken? })
}

fn take_one(path: &Path, waiting: &mut impl FnMut()) -> io::Result<File> {
    // To open a pipe for writing takes until somebody reads from it.
    if let Found::NoFile(what) = open(path)? {
        return Err(io::Error::other(format!("{}: it is {}", path.display(), what.words())));
    }
    let failed = |error| named(path, error);
    let file = OpenOptions::new().create(true).truncate(false).write(true).open(path).map_err(failed)?;
    match file.try_lock() {
        Ok(()) => {}
        Err(TryLockError::WouldBlock) => {
            waiting();
            file.lock().map_err(failed)?;
        }
        Err(TryLockError::Error(error)) => return Err(failed(error)),
    }
    Ok(file)
}
