//! What makes a change outlast a power cut: the folders that files and folders were put into, flushed as well. Knows paths,
//! not what is in them.
//!
//! A renaming is a change of the folder. Until the folder is flushed, a machine that loses its power may come back with the old
//! name, though the file itself was safe on the disk.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

/// Makes a folder, and those it is in, as far as they are missing. Returns the folders that something new is in now.
///
/// # Errors
/// A file where a folder should be; whatever the disk reports.
pub(crate) fn make_folder(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let missing = folder.ancestors().take_while(|step| !as_opened(step).is_dir());
    let changed = missing.filter_map(Path::parent).map(Path::to_owned).collect();
    match folder.ancestors().find(|step| step.exists() && !step.is_dir()) {
        Some(step) if step == folder => {
            Err(io::Error::new(io::ErrorKind::NotADirectory, "this is no folder: name one"))
        }
        Some(step) => {
            let what = format!("{} is no folder: name another", step.display());
            Err(io::Error::new(io::ErrorKind::NotADirectory, what))
        }
        None => fs::create_dir_all(folder).map(|()| changed),
    }
}

/// Flushes what stands in a folder under which name, on systems where a folder can be flushed.
pub(crate) fn flush_folder(folder: &Path) {
    let _ = File::open(as_opened(folder)).and_then(|folder| folder.sync_all());
}

/// The folder that one is in which is named by its name alone.
fn as_opened(folder: &Path) -> &Path {
    if folder.as_os_str().is_empty() { Path::new(".") } else { folder }
}
