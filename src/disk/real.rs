//! Which file a path really is. Reads links and opens nothing.

use std::fs;
use std::path::{Path, PathBuf};

use super::folder_of;

/// Links after each other that are followed; more of them are a circle. Linux follows as many.
const MOST_LINKS: usize = 40;

/// The file that a path names, with the links in its place followed, also to where no file is. What lies beside a book lies
/// beside this. A path that is no link stays as it was written; one in a circle of links ends as a link.
pub fn real(path: &Path) -> PathBuf {
    let mut path = path.to_owned();
    for _ in 0..MOST_LINKS {
        match fs::read_link(&path) {
            Ok(to) => path = path.parent().unwrap_or(Path::new("")).join(to),
            Err(_) => break,
        }
    }
    path
}

/// One path for each file, however it is spelt: to tell whether two names mean the same. Of a file that is not there it
/// is the place where it would be.
pub fn identity(path: &Path) -> PathBuf {
    let real = real(path);
    real.canonicalize().unwrap_or_else(|_| {
        let folder = folder_of(&real);
        let folder = folder.canonicalize().unwrap_or_else(|_| folder.to_owned());
        folder.join(real.file_name().unwrap_or_default())
    })
}
