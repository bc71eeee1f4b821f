//! What may be opened and read: a plain file, and no more of it than is asked for. Whatever would keep a run waiting, or give
//! something else each time, is told by what it is. Knows no folder and no format.

use std::fs::{self, File};
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};

use super::named;
use super::real::real;
use crate::wrong::{Wrong, shown};

/// What stands under a name.
#[derive(Debug)]
pub enum Found<T> {
    /// A file, opened or read.
    File(T),
    /// Nothing.
    Missing,
    /// Something else than a file.
    NoFile(NoFile),
    /// A file that is larger than what was asked for may be.
    TooLarge,
}

/// What is no file to read from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoFile {
    /// A folder.
    Directory,
    /// A pipe, a socket or a device: to read it may take for ever, and gives other bytes each time.
    NotPlain,
    /// A link to where nothing is.
    LeadsNowhere(PathBuf),
    /// Links that lead to each other.
    Circle,
}

impl NoFile {
    /// What it is: `a directory`.
    pub fn words(&self) -> String {
        match self {
            NoFile::Directory => "a directory".to_owned(),
            NoFile::NotPlain => "no file but a pipe, a socket or a device".to_owned(),
            NoFile::LeadsNowhere(to) => format!("a link to {}, and nothing is there", shown(&to.display().to_string())),
            NoFile::Circle => "one of several links that lead in a circle".to_owned(),
        }
    }

    /// What would be right where a file is wanted.
    pub fn instead(&self) -> &'static str {
        match self {
            NoFile::Directory => "name the file in it",
            NoFile::NotPlain => "save what comes out of it as a file, and name that",
            NoFile::LeadsNowhere(_) => "bring back what it leads to, or put the file itself in its place",
            NoFile::Circle => "put the file itself in the place of one of them",
        }
    }

    /// As what is wrong with a path, and what would be right.
    pub fn wrong(&self, path: &Path) -> Wrong {
        Wrong::new(format!("{} is {}", path.display(), self.words()), self.instead())
    }
}

/// Opens a file.
///
/// # Errors
/// No permission, or whatever else the machine reports, with the path.
pub fn open(path: &Path) -> io::Result<Found<File>> {
    match fs::metadata(path) {
        Ok(metadata) if metadata.is_dir() => Ok(Found::NoFile(NoFile::Directory)),
        Ok(metadata) if !metadata.is_file() => Ok(Found::NoFile(NoFile::NotPlain)),
        Ok(_) => File::open(path).map(Found::File).map_err(|error| named(path, error)),
        Err(error) => not_found(path, error),
    }
}

/// Reads a file whole, if it has no more than so many bytes.
///
/// # Errors
/// As [`open`].
pub fn read(path: &Path, most_bytes: usize) -> io::Result<Found<Vec<u8>>> {
    let file = match open(path)? {
        Found::File(file) => file,
        Found::Missing => return Ok(Found::Missing),
        Found::NoFile(what) => return Ok(Found::NoFile(what)),
        Found::TooLarge => return Ok(Found::TooLarge),
    };
    let mut bytes = Vec::new();
    file.take(most_bytes as u64 + 1).read_to_end(&mut bytes).map_err(|error| named(path, error))?;
    Ok(if bytes.len() > most_bytes { Found::TooLarge } else { Found::File(bytes) })
}

/// Why a path leads to no file.
fn not_found<T>(path: &Path, error: io::Error) -> io::Result<Found<T>> {
    let end = real(path);
    if fs::symlink_metadata(&end).is_ok_and(|there| there.is_symlink()) {
        return Ok(Found::NoFile(NoFile::Circle));
    }
    if !names_no_file(&error) {
        return Err(named(path, error));
    }
    Ok(if end == path { Found::Missing } else { Found::NoFile(NoFile::LeadsNowhere(end)) })
}

/// Whether no file can have such a path: a fault of whoever wrote it, not of the machine.
fn names_no_file(error: &io::Error) -> bool {
    use io::ErrorKind::{InvalidFilename, InvalidInput, NotADirectory, NotFound};
    matches!(error.kind(), NotFound | NotADirectory | InvalidFilename | InvalidInput)
}
