//! Files onto the disk, all or none. Knows paths and bytes, not what is in them.
//!
//! Each file is written and flushed beside its place under a name of its own; only when every one is safe on the disk
//! are they renamed, one by one. A run that is killed leaves every old file whole.

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::{Component, Path, PathBuf};

use tempfile::NamedTempFile;

/// How the name of a file in the making begins.
const TEMPORARY_PREFIX: &str = ".cockpit-cards-";

/// Writes files into `directory`, making folders as needed; each name is relative to it and stays inside it.
///
/// # Errors
/// A name that leads out of the directory, also through a link, or that stands twice; a folder where a file should
/// go; whatever the disk reports, with the path. On an error before the renaming no file in place has changed, and
/// the files in the making are gone.
pub fn write_all(directory: &Path, files: &[(impl AsRef<Path>, impl AsRef<[u8]>)]) -> io::Result<()> {
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
    let mut written = Vec::new();
    for (name, bytes) in files {
        let place = directory.join(name);
        let folder = folder_for(&root, directory, &place)?;
        if fs::symlink_metadata(&place).is_ok_and(|there| there.is_dir()) {
            return Err(at(&place)(io::Error::new(io::ErrorKind::IsADirectory, "a folder stands in its place")));
        }
        let temporary = write_beside(&folder, bytes.as_ref()).map_err(at(&place))?;
        written.push((temporary, place, folder));
    }
    let mut folders = BTreeSet::new();
    for (temporary, place, folder) in written {
        temporary.persist(&place).map_err(|failure| at(&place)(failure.error))?;
        folders.insert(folder);
    }
    for folder in folders {
        flush_folder(&folder);
    }
    Ok(())
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
        if !step.canonicalize().map_err(at(&step))?.starts_with(root) {
            let problem = "a link here leads out of the output folder";
            return Err(at(&step)(io::Error::new(io::ErrorKind::InvalidInput, problem)));
        }
    }
    Ok(folder.to_owned())
}

fn write_beside(folder: &Path, bytes: &[u8]) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(TEMPORARY_PREFIX);
    // Temporary files are private by default; these become ordinary files, so the user's own mask decides.
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        const READ_AND_WRITE_FOR_ALL: u32 = 0o666;
        builder.permissions(fs::Permissions::from_mode(READ_AND_WRITE_FOR_ALL));
    }
    let mut file = builder.tempfile_in(folder)?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    Ok(file)
}

/// Makes the renaming itself last through a power cut, on systems where a folder can be flushed.
fn flush_folder(folder: &Path) {
    if let Ok(folder) = File::open(folder) {
        let _ = folder.sync_all();
    }
}

fn at(path: &Path) -> impl Fn(io::Error) -> io::Error {
    let path = path.display().to_string();
    move |error| io::Error::new(error.kind(), format!("{path}: {error}"))
}
