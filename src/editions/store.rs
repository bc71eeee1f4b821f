//! The editions file on the disk, beside its book, and the lock that keeps two runs apart. Knows paths, not what the
//! records mean.

use crate::wrong::Wrong;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};

use super::record::Editions;
use crate::limits::MAX_EDITIONS_BYTES;
use crate::output::write::write_all;

/// Why the editions file could not be used.
#[derive(Debug)]
pub enum Failure {
    /// The file itself is damaged or of a later form.
    Bad(Wrong),
    /// The machine: no permission, a full disk.
    Machine(io::Error),
}

/// Held while a book's editions file is read, changed and written; let go when dropped, or by the system when the
/// process ends.
#[derive(Debug)]
pub struct Lock {
    _file: File,
}

/// `boat.editions.yaml` for `boat.yaml`.
pub fn path_of(book: &Path) -> PathBuf {
    beside(book, "", ".editions.yaml")
}

/// Takes the lock of a book. If another run holds it, tells so by calling `waiting` and waits.
///
/// The lock is a file of its own, `.boat.editions.lock`, since the editions file is replaced whenever it is written. It
/// stays behind, empty: to remove it would let a run that waits for it and one that makes it anew both go on.
///
/// # Errors
/// The folder is read-only, or the file system knows no locks.
pub fn lock(book: &Path, waiting: impl FnOnce()) -> io::Result<Lock> {
    let path = beside(book, ".", ".editions.lock");
    let named = |error: io::Error| io::Error::new(error.kind(), format!("{}: {error}", path.display()));
    let file = OpenOptions::new().create(true).truncate(false).write(true).open(&path).map_err(named)?;
    match file.try_lock() {
        Ok(()) => {}
        Err(TryLockError::WouldBlock) => {
            waiting();
            file.lock().map_err(named)?;
        }
        Err(TryLockError::Error(error)) => return Err(named(error)),
    }
    Ok(Lock { _file: file })
}

/// The editions of a book; `None` if it has no editions file yet.
///
/// # Errors
/// The file is damaged, of a later form, or cannot be read; it is left as it is.
pub fn load(book: &Path) -> Result<Option<Editions>, Failure> {
    let path = path_of(book);
    let about = |wrong: Wrong| Failure::Bad(Wrong { what: format!("{}: {}", path.display(), wrong.what), ..wrong });
    match read(&path) {
        Ok(text) if text.len() > MAX_EDITIONS_BYTES => {
            let what = format!("it is larger than {} MB", MAX_EDITIONS_BYTES / 1_000_000);
            Err(about(Wrong::new(what, "bring back the last good one; it was not touched")))
        }
        Ok(text) => Editions::parse(&text).map(Some).map_err(about),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) if error.kind() == io::ErrorKind::InvalidData => {
            Err(about(Wrong::new("it is damaged: it is no text", "bring back the last good one; it was not touched")))
        }
        Err(error) => Err(Failure::Machine(io::Error::new(error.kind(), format!("{}: {error}", path.display())))),
    }
}

/// Reads a file, but no more of it than tells that it is too large.
fn read(path: &Path) -> io::Result<String> {
    let mut text = String::new();
    File::open(path)?.take(MAX_EDITIONS_BYTES as u64 + 1).read_to_string(&mut text)?;
    Ok(text)
}

/// Writes the editions file of a book whole: whoever reads it finds the old one or the new one.
///
/// # Errors
/// Whatever the disk reports; the old file is then as it was.
pub fn save(book: &Path, editions: &Editions) -> io::Result<()> {
    let text = editions.text().map_err(io::Error::other)?;
    let path = path_of(book);
    write_all(folder_of(book), &[(PathBuf::from(path.file_name().unwrap_or_default()), text)])
}

/// The folder a file is in, as a path that can be opened.
pub fn folder_of(file: &Path) -> &Path {
    file.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

fn beside(book: &Path, before: &str, after: &str) -> PathBuf {
    let mut name = std::ffi::OsString::from(before);
    name.push(book.file_stem().unwrap_or_default());
    name.push(after);
    book.with_file_name(name)
}
