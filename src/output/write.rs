//! Files onto the disk, all or none. Knows paths and bytes, not what is in them.
//!
//! Each file is written beside its place; only when every one is safe on the disk are they renamed, one by one. A run that
//! is killed leaves every old file whole, and the next run into the same folder removes what it left in the making.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File, OpenOptions};
use std::io::{self, Write as _};
use std::path::{Component, Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

use crate::disk::staging::Staging;

/// Files flushed at a time. Flushing is waiting, and a file system does what waits together in one go: 300 files took
/// 3.5 ms each one after the other, and 0.1 ms each by 16 at a time (ext4 on a virtual disk).
const FLUSHED_AT_ONCE: usize = 16;

/// Files of one folder, written but not in place yet; if it is dropped they are gone.
#[derive(Debug)]
pub struct Staged {
    /// Where each was made, and where it goes.
    files: Vec<(PathBuf, PathBuf)>,
    /// By the folder they are in.
    stagings: BTreeMap<PathBuf, Staging>,
}

/// Writes files into `directory`, making folders as needed; each name is relative to it and stays inside it.
///
/// # Errors
/// A name that leads out of the directory, also through a link, or that stands twice; a folder where a file should
/// go; whatever the disk reports, with the path. On an error before the renaming no file in place has changed, and
/// the files in the making are gone.
pub fn write_all(directory: &Path, files: &[(impl AsRef<Path>, impl AsRef<[u8]>)]) -> io::Result<()> {
    put_in_place(vec![stage(directory, files)?]).into_iter().collect()
}

/// The first half of [`write_all`]: writes files beside their places.
///
/// # Errors
/// As [`write_all`].
pub fn stage(directory: &Path, files: &[(impl AsRef<Path>, impl AsRef<[u8]>)]) -> io::Result<Staged> {
    let mut names = BTreeSet::new();
    for (name, _) in files {
        let name = name.as_ref();
        if !is_inside(name) || !names.insert(name) {
            let problem = format!("{}: not a name of its own inside the output folder", name.display());
            return Err(io::Error::new(io::ErrorKind::InvalidInput, problem));
        }
    }
    fs::create_dir_all(directory).map_err(at(directory))?;
    let root = directory.canonicalize().map_err(at(directory))?;
    let mut staged = Staged { files: Vec::new(), stagings: BTreeMap::new() };
    for (name, bytes) in files {
        let place = directory.join(name);
        let folder = folder_for(&root, directory, &place)?;
        if fs::symlink_metadata(&place).is_ok_and(|there| there.is_dir()) {
            return Err(at(&place)(io::Error::new(io::ErrorKind::IsADirectory, "a folder stands in its place")));
        }
        let made = match staged.stagings.get_mut(&folder) {
            Some(staging) => staging.next(),
            None => {
                let staging = Staging::new(&folder).map_err(at(&folder))?;
                staged.stagings.entry(folder).or_insert(staging).next()
            }
        };
        File::create_new(&made).and_then(|mut file| file.write_all(bytes.as_ref())).map_err(at(&place))?;
        staged.files.push((made, place));
    }
    Ok(staged)
}

/// The second half of [`write_all`], for several folders at once: makes all files safe on the disk, then renames those of
/// each folder. One result a folder, in their order.
///
/// # Errors
/// Whatever the disk reports, with the path. One folder's error leaves the others alone.
pub fn put_in_place(staged: Vec<Staged>) -> Vec<io::Result<()>> {
    let made: Vec<&Path> = staged.iter().flat_map(|staged| &staged.files).map(|(made, _)| made.as_path()).collect();
    let mut failures = flush_files(&made);
    let mut flushed = 0;
    let mut results = Vec::new();
    let mut folders = BTreeSet::new();
    for Staged { files, stagings } in staged {
        let own = flushed..flushed + files.len();
        flushed = own.end;
        let failure = own.clone().find_map(|index| Some((index, failures.remove(&index)?)));
        results.push(match failure {
            Some((index, error)) => Err(at(&files[index - own.start].1)(error)),
            None => rename_all(&files),
        });
        folders.extend(stagings.into_keys());
    }
    let folders: Vec<&Path> = folders.iter().map(PathBuf::as_path).collect();
    // The renaming itself should last through a power cut, too, on systems where a folder can be flushed.
    each_at_once(&folders, |folder| {
        let _ = File::open(folder).and_then(|folder| folder.sync_all());
    });
    results
}

fn rename_all(files: &[(PathBuf, PathBuf)]) -> io::Result<()> {
    files.iter().try_for_each(|(made, place)| fs::rename(made, place).map_err(at(place)))
}

fn is_inside(name: &Path) -> bool {
    name.file_name().is_some() && name.components().all(|part| matches!(part, Component::Normal(_)))
}

/// The folder `place` goes into, made if it is missing, one step at a time so that a link is seen before it is used.
fn folder_for(root: &Path, directory: &Path, place: &Path) -> io::Result<PathBuf> {
    let folder = place.parent().unwrap_or(directory);
    let mut step = directory.to_owned();
    for part in folder.strip_prefix(directory).into_iter().flat_map(Path::components) {
        step.push(part);
        match fs::create_dir(&step) {
            Err(error) if error.kind() != io::ErrorKind::AlreadyExists => return Err(at(&step)(error)),
            _ => {}
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
    Ok(folder.to_owned())
}

/// Makes files safe on the disk; what failed, by its index.
fn flush_files(files: &[&Path]) -> BTreeMap<usize, io::Error> {
    let failures = Mutex::new(BTreeMap::new());
    let indices: Vec<usize> = (0..files.len()).collect();
    each_at_once(&indices, |index| {
        // Some systems flush only a file that is open for writing.
        let flushed = OpenOptions::new().write(true).open(files[*index]).and_then(|file| file.sync_all());
        if let Err(error) = flushed {
            failures.lock().unwrap_or_else(PoisonError::into_inner).insert(*index, error);
        }
    });
    failures.into_inner().unwrap_or_else(PoisonError::into_inner)
}

/// Does something that waits for the disk for each of many, several at a time.
fn each_at_once<T: Sync>(items: &[T], work: impl Fn(&T) + Sync) {
    let next = AtomicUsize::new(0);
    let take = || {
        while let Some(item) = items.get(next.fetch_add(1, Ordering::Relaxed)) {
            work(item);
        }
    };
    std::thread::scope(|scope| {
        for _ in 1..FLUSHED_AT_ONCE.min(items.len()) {
            // Where no more threads can be had, those there are do it all.
            if std::thread::Builder::new().spawn_scoped(scope, take).is_err() {
                break;
            }
        }
        take();
    });
}

fn at(path: &Path) -> impl Fn(io::Error) -> io::Error {
    let path = path.display().to_string();
    move |error| io::Error::new(error.kind(), format!("{path}: {error}"))
}
