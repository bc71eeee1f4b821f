//! Which books a command line of several means: files as they are named, and folders with all the books in them. Knows
//! paths; reads no book.

use std::collections::HashSet;
use std::fs::{self, File};
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};

use super::{Outcome, Stopped};

/// Enough of a file to come to its first field.
const BEGINNING_BYTES: u64 = 4096;
/// The first field of the files that this program keeps beside books.
const KEPT_FILES: [&str; 2] = ["editions:", "readings:"];

/// A book that was asked for, or why there is none where it was looked for.
pub struct Named {
    /// As the user named it, or as it is found from there.
    pub path: PathBuf,
    pub refused: Option<Stopped>,
}

/// The books of a command line in its order; of a folder, those right in it, by name. One that is meant twice comes once.
pub fn named(arguments: &[PathBuf]) -> Vec<Named> {
    let mut books = Vec::new();
    for argument in arguments {
        if !argument.is_dir() {
            books.push(Named { path: argument.clone(), refused: None });
            continue;
        }
        let name = argument.display();
        let refused = match books_in(argument) {
            Ok(found) if found.is_empty() => {
                Stopped::refused(&format!("there is no book in {name}"), "a book is a file that ends in .yaml or .yml")
            }
            Ok(found) => {
                books.extend(found.into_iter().map(|path| Named { path, refused: None }));
                continue;
            }
            Err(error) => Stopped::machine(&format!("{name} cannot be read"), &error),
        };
        books.push(Named { path: argument.clone(), refused: Some(refused) });
    }
    let mut seen = HashSet::new();
    // By its name as well: two links to one file are two books to whoever made them.
    books.retain(|book| {
        let real = book.path.canonicalize().unwrap_or_else(|_| book.path.clone());
        seen.insert((real, book.path.file_name().map(ToOwned::to_owned)))
    });
    books
}

/// Files that end in `.yaml` or `.yml`, but no hidden ones and none that this program itself keeps.
pub fn books_in(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut books = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if is_named_like_a_book(&path) && is_a_book_or_unknown(&path) {
            books.push(path);
        }
    }
    books.sort();
    Ok(books)
}

fn is_named_like_a_book(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default().to_string_lossy().to_lowercase();
    let ends = [".yaml", ".yml"].iter().any(|end| name.ends_with(end));
    ends && !name.starts_with('.') && !name.ends_with(".editions.yaml")
}

/// What cannot be looked at is left to the reader of books, which says why.
fn is_a_book_or_unknown(path: &Path) -> bool {
    match fs::metadata(path) {
        Ok(metadata) if !metadata.is_file() => return false,
        Ok(_) => {}
        Err(_) => return true,
    }
    let mut beginning = Vec::new();
    if File::open(path).and_then(|file| file.take(BEGINNING_BYTES).read_to_end(&mut beginning)).is_err() {
        return true;
    }
    let beginning = String::from_utf8_lossy(&beginning);
    let first = beginning.lines().find(|line| !line.trim().is_empty() && !line.starts_with('#')).unwrap_or_default();
    !KEPT_FILES.iter().any(|field| first.starts_with(field))
}

/// How a run over several books ends: a machine that failed counts for more than a bad book, since after it the good
/// books have to be built again, too.
pub fn worst(outcomes: impl Iterator<Item = Outcome>) -> Outcome {
    outcomes.fold(Outcome::Done, |worst, outcome| match (worst, outcome) {
        (Outcome::MachineFailed, _) | (_, Outcome::Done) => worst,
        (_, outcome) => outcome,
    })
}
