//! A file that is to be changed, and putting the new one in its place: the file behind a link, whole, and with the owner and
//! the permissions that it had. Knows no lock; what is written is the caller's.

use std::fs::{self, File, Metadata, OpenOptions};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use super::lasting::{flush_folder, make_folder};
use super::open::{Found, open};
use super::real::real;
use super::staging::Staging;
use super::{Failure, folder_of, named};
use crate::wrong::Wrong;

/// Where a file is to go, looked at before anything is written.
#[derive(Debug)]
pub struct Place {
    path: PathBuf,
    /// What the file is like that it takes the place of; `None` if there is none.
    was: Option<Metadata>,
}

impl Place {
    /// The place of a file that may be there.
    ///
    /// # Errors
    /// Something else than a file is there, it is marked read-only, or whoever runs this may not write to it.
    pub fn of(path: &Path) -> Result<Self, Failure> {
        let real = real(path);
        match open(path).map_err(Failure::Machine)? {
            Found::Missing => return Ok(Place { path: real, was: None }),
            Found::NoFile(what) => return Err(Failure::Bad(what.wrong(path))),
            Found::File(_) | Found::TooLarge => {}
        }
        let machine = |error| Failure::Machine(named(path, error));
        let was = fs::metadata(&real).map_err(machine)?;
        // A renaming asks nobody whether the file may be written to, and whoever may do everything is not stopped at all.
        if was.permissions().readonly() {
            return Err(Failure::Bad(Wrong::new(
                format!("{} is marked read-only", path.display()),
                "take the mark away if it may be changed",
            )));
        }
        OpenOptions::new().write(true).open(&real).map_err(machine)?;
        Ok(Place { path: real, was: Some(was) })
    }

    /// Puts a file there to last: whoever reads it finds the old one or the new one, also after a power cut.
    ///
    /// # Errors
    /// Whatever the disk reports; the old file is then as it was.
    pub fn put(&self, bytes: &[u8]) -> io::Result<()> {
        let (folder, failed) = (folder_of(&self.path), |error| named(&self.path, error));
        let changed = make_folder(folder).map_err(|error| named(folder, error))?;
        let mut staging = Staging::new(folder).map_err(|error| named(folder, error))?;
        let made = staging.next();
        let written = || {
            let mut file = File::create_new(&made)?;
            if let Some(was) = &self.was {
                make_alike(&file, was)?;
            }
            file.write_all(bytes)?;
            file.sync_all()?;
            fs::rename(&made, &self.path)
        };
        written().map_err(failed)?;
        flush_folder(folder);
        changed.iter().for_each(|folder| flush_folder(folder));
        Ok(())
    }

    /// Puts a file there to last, if none is.
    ///
    /// # Errors
    /// As [`put`](Self::put); `AlreadyExists` if there is anything, also a link to nowhere.
    pub fn start(path: &Path, bytes: &[u8]) -> io::Result<()> {
        let (folder, failed) = (folder_of(path), |error| named(path, error));
        let there_already = || failed(io::Error::from(io::ErrorKind::AlreadyExists));
        if fs::symlink_metadata(path).is_ok() {
            return Err(there_already());
        }
        let mut staging = Staging::new(folder).map_err(|error| named(folder, error))?;
        let made = staging.next();
        let written = || {
            let mut file = File::create_new(&made)?;
            file.write_all(bytes)?;
            file.sync_all()
        };
        written().map_err(failed)?;
        let put = match tempfile::TempPath::try_from_path(made).map_err(failed)?.persist_noclobber(path) {
            Ok(()) => Ok(()),
            Err(refused) if refused.error.kind() == io::ErrorKind::AlreadyExists => Err(there_already()),
            // Some disks know neither a renaming that replaces nothing nor a second name for a file.
            Err(refused) if fs::symlink_metadata(path).is_err() => fs::rename(&refused.path, path).map_err(failed),
            Err(_) => Err(there_already()),
        };
        if put.is_ok() {
            flush_folder(folder);
        }
        put
    }
}

/// Gives a file the owner and the permissions of another, before there is anything in it to read.
#[cfg(unix)]
fn make_alike(file: &File, was: &Metadata) -> io::Result<()> {
    use std::os::unix::fs::{MetadataExt as _, fchown};
    let is = file.metadata()?;
    if (is.uid(), is.gid()) != (was.uid(), was.gid()) {
        fchown(file, Some(was.uid()), Some(was.gid())).map_err(|error| {
            io::Error::new(
                error.kind(),
                format!("it would no longer belong to the user and group that it does ({error})"),
            )
        })?;
    }
    file.set_permissions(was.permissions())
}

/// Gives a file the permissions of another.
#[cfg(not(unix))]
fn make_alike(file: &File, was: &Metadata) -> io::Result<()> {
    file.set_permissions(was.permissions())
}
