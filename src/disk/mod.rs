//! What stands on the disk under a name, and how a file there is changed: which file a path really is, which may be opened, one
//! run at a time, whole or not at all. Knows paths and bytes, not what is in them.

pub(crate) mod lasting;
pub mod lock;
pub mod open;
pub mod place;
pub mod real;
pub(crate) mod staging;

use std::io;
use std::path::Path;

use crate::wrong::Wrong;

/// Why a file could not be used.
#[derive(Debug)]
pub enum Failure {
    /// Whoever named or wrote it can put it right.
    Bad(Wrong),
    /// The machine: no permission, a full disk.
    Machine(io::Error),
}

/// The folder a file is in, as a path that can be opened.
pub fn folder_of(file: &Path) -> &Path {
    file.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// The machine's own words, with the file they are about.
fn named(path: &Path, error: io::Error) -> io::Error {
    io::Error::new(error.kind(), format!("{}: {error}", path.display()))
}
