//! Files onto the disk, all or none. Knows paths, not what is in the files nor how it is made.
//!
//! Each file is written beside its place; only when every one is there are they renamed, one by one. A run that is killed
//! leaves every old file whole, and the next run into the same folder removes what it left in the making. What can be made again
//! and stands in its place already is left alone.
//!
//! A file may be made only as it is written, so that no more of them are in memory than are in the works.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Component, Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};

use crate::disk::lasting::{flush_folder, make_folder};
use crate::disk::staging::Staging;
use crate::output::unless_same::UnlessSame;
use crate::parallel;

/// A file to be written.
pub trait ToWrite: Sync {
    /// Its name, relative to the output folder.
    fn name(&self) -> &Path;

    /// How much there is to do until its bytes are there, in cards or pages: nothing if they are.
    fn work(&self) -> usize {
        0
    }

    /// Writes what is in it.
    ///
    /// # Errors
    /// Whatever the disk reports; the file cannot be made.
    fn write(&self, to: &mut dyn Write) -> io::Result<()>;
}

impl<Name: AsRef<Path> + Sync, Bytes: AsRef<[u8]> + Sync> ToWrite for (Name, Bytes) {
    fn name(&self) -> &Path {
        self.0.as_ref()
    }

    fn write(&self, to: &mut dyn Write) -> io::Result<()> {
        to.write_all(self.1.as_ref())
    }
}

/// Whether files are flushed, and so outlast a machine that loses its power right after they were written.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Flush {
    Yes,
    /// Flushing is waiting for the disk. What can be made again any time is not worth that.
    No,
}

/// Files of one folder, written but not in place yet; if it is dropped they are gone.
struct Staged {
    /// Where each is made, and where it goes.
    files: Vec<(PathBuf, PathBuf)>,
    /// By the folder they are in.
    stagings: BTreeMap<PathBuf, Staging>,
    /// The folders that something new is in now, besides these.
    changed: Vec<PathBuf>,
}

/// Writes files that can be made again into `directory`, making folders as needed; each name is relative to it and stays
/// inside it. Each file is the old one or the new one whole whenever the run is killed; one that says the same already is
/// left as it is. If the machine loses its power, those of the last minute may be empty: nothing is flushed.
///
/// # Errors
/// A name that leads out of the directory, also through a link, or that stands twice; a folder where a file should
/// go; a file that cannot be made; whatever the disk reports, with the path. On an error before the renaming no file in
/// place has changed, and the files in the making are gone.
pub fn write_all(directory: &Path, files: &[impl ToWrite]) -> io::Result<()> {
    write(directory, files, Flush::No)
}

/// As [`write_all`], of files that cannot be made again: when it returns they outlast a power cut.
///
/// # Errors
/// As [`write_all`].
pub fn write_to_last(directory: &Path, files: &[impl ToWrite]) -> io::Result<()> {
    write(directory, files, Flush::Yes)
}

fn write(directory: &Path, files: &[impl ToWrite], flush: Flush) -> io::Result<()> {
    let staged = stage(directory, files)?;
    let made = fill(files, &staged.files, flush)?;
    for ((made, place), _) in staged.files.iter().zip(made).filter(|(_, is_new)| *is_new) {
        fs::rename(made, place).map_err(at(place))?;
    }
    if flush == Flush::Yes {
        staged.stagings.keys().chain(&staged.changed).for_each(|folder| flush_folder(folder));
    }
    Ok(())
}

/// Finds the places of files, and where beside them each is made.
fn stage(directory: &Path, files: &[impl ToWrite]) -> io::Result<Staged> {
    let mut names = BTreeSet::new();
    for name in files.iter().map(ToWrite::name) {
        if !is_inside(name) || !names.insert(name) {
            let problem = format!("{}: not a name of its own inside the output folder", name.display());
            return Err(io::Error::new(io::ErrorKind::InvalidInput, problem));
        }
    }
    let changed = make_folder(directory).map_err(at(directory))?;
    let root = directory.canonicalize().map_err(at(directory))?;
    let mut staged = Staged { files: Vec::new(), stagings: BTreeMap::new(), changed };
    for name in files.iter().map(ToWrite::name) {
        let place = directory.join(name);
        let folder = place.parent().unwrap_or(directory);
        let made = match staged.stagings.get_mut(folder) {
            Some(staging) => staging.next(),
            None => {
                make_inside(&root, directory, folder, &mut staged.changed)?;
                let staging = Staging::new(folder).map_err(at(folder))?;
                staged.stagings.entry(folder.to_owned()).or_insert(staging).next()
            }
        };
        check_place(&place).map_err(at(&place))?;
        staged.files.push((made, place));
    }
    Ok(staged)
}

/// Makes each file beside its place, as many at once as there are cores; after one that fails no other is begun. Whether
/// each was made: not if it can be made again and stands in its place as it would be.
fn fill(files: &[impl ToWrite], places: &[(PathBuf, PathBuf)], flush: Flush) -> io::Result<Vec<bool>> {
    let has_failed = AtomicBool::new(false);
    let to_fill: Vec<_> = files.iter().zip(places).collect();
    let work = files.iter().map(ToWrite::work).sum();
    let filled = parallel::each(&to_fill, work, |(file, (made, place))| {
        if has_failed.load(Ordering::Relaxed) {
            return Ok(false);
        }
        let fill = || match flush {
            Flush::Yes => {
                let mut to = File::create_new(made)?;
                file.write(&mut to)?;
                to.sync_all().map(|()| true)
            }
            Flush::No => {
                let mut to = UnlessSame::new(made, place);
                file.write(&mut to)?;
                to.finish().map(|made| made.is_some())
            }
        };
        fill().map_err(|error| {
            has_failed.store(true, Ordering::Relaxed);
            at(place)(error)
        })
    });
    filled.into_iter().collect()
}

/// Whether what stands in a file's place may be replaced: a file, or a link, which is replaced itself.
fn check_place(place: &Path) -> io::Result<()> {
    match fs::symlink_metadata(place) {
        Ok(there) if there.is_dir() => Err(io::Error::new(io::ErrorKind::IsADirectory, "a folder stands in its place")),
        // Whoever may do everything would have a file in the place of a device that all programs need.
        Ok(there) if !there.is_file() && !there.is_symlink() => {
            Err(io::Error::new(io::ErrorKind::InvalidInput, "a pipe, a socket or a device stands in its place"))
        }
        _ => Ok(()),
    }
}

fn is_inside(name: &Path) -> bool {
    name.file_name().is_some() && name.components().all(|part| matches!(part, Component::Normal(_)))
}

/// Makes a folder inside `directory` if it is missing, one step at a time so that a link is seen before it is used.
/// `changed` gets the folder that each is made in.
fn make_inside(root: &Path, directory: &Path, folder: &Path, changed: &mut Vec<PathBuf>) -> io::Result<()> {
    let mut step = directory.to_owned();
    for part in folder.strip_prefix(directory).into_iter().flat_map(Path::components) {
        step.push(part);
        match fs::create_dir(&step) {
            Ok(()) => changed.extend(step.parent().map(Path::to_owned)),
            Err(error) if error.kind() != io::ErrorKind::AlreadyExists => return Err(at(&step)(error)),
            Err(_) => {}
        }
        let leads_to = step.canonicalize().map_err(|error| match error.kind() {
            io::ErrorKind::NotFound => at(&step)(io::Error::new(error.kind(), "a link here leads nowhere")),
            _ => at(&step)(error),
        })?;
        if !leads_to.starts_with(root) {
            let problem = "a link here leads out of the output folder";
            return Err(at(&step)(io::Error::new(io::ErrorKind::InvalidInput, problem)));
        }
    }
    Ok(())
}

fn at(path: &Path) -> impl Fn(io::Error) -> io::Error {
    let path = path.display().to_string();
    move |error| io::Error::new(error.kind(), format!("{path}: {error}"))
}
