//! From a path or a text to a sound book, or to all that is wrong with it. The only reading of files in this stage.

use crate::wrong::shown;
use std::collections::HashSet;
use std::io;
use std::path::{Path, PathBuf};

use super::model::Printing;
use super::problem::{Level, Place, Problem, Source, SourceId};
use super::read::{self, Opening, Tables};
use super::rest;
use super::sound::Book;
use super::tree;
use crate::disk::open::{self, Found, NoFile};
use crate::disk::real::{identity, real};
use crate::limits::MAX_FILE_BYTES;

/// What loading gave: the book if it is sound, and everything that is wrong with it. What is done with it goes through
/// [`door::through`](crate::door::through), which also looks at what is left of a book that is not sound.
#[derive(Debug)]
pub struct Loaded {
    /// The book, if no error was found.
    pub book: Option<Book>,
    /// What is left of a book with errors, to be looked at on and for nothing else.
    pub(crate) rest: Option<Book>,
    /// Everything that is wrong, in the order of the files and of the places in them.
    pub problems: Vec<Problem>,
    /// The files that were read: the book first, then the tables that it names.
    pub sources: Vec<Source>,
    /// Where the files are that the book names, or should be.
    pub files: Vec<PathBuf>,
}

impl Loaded {
    /// Whether there is a book and no error (warnings allowed).
    pub fn is_sound(&self) -> bool {
        self.book.is_some()
    }

    /// What the book says of how it is printed, whether it has errors or not.
    pub fn printing(&self) -> Option<&Printing> {
        self.book.as_ref().or(self.rest.as_ref()).map(|book| &book.printing)
    }

    fn failed(problem: Problem, sources: Vec<Source>) -> Self {
        Loaded { book: None, rest: None, problems: vec![problem], sources, files: Vec::new() }
    }
}

/// Reads a book and the tables it names. `printable` tells whether a character can be printed. `Err`: the machine failed
/// (no permission, a disk error); a missing file, a directory or a bad book are problems, not errors.
pub fn from_path(path: &Path, printable: fn(char) -> bool) -> Result<Loaded, io::Error> {
    let name = path.display().to_string();
    let bytes = match open::read(path, MAX_FILE_BYTES)? {
        Found::File(bytes) => bytes,
        Found::Missing => {
            let problem =
                Problem::error(None, format!("there is no book {}", shown(&name)), "check the path and its spelling");
            return Ok(Loaded::failed(problem, Vec::new()));
        }
        Found::NoFile(NoFile::Directory) => {
            let problem = Problem::error(
                None,
                format!("{} is a directory", shown(&name)),
                "name the book in it, like `boat.yaml`",
            );
            return Ok(Loaded::failed(problem, Vec::new()));
        }
        Found::NoFile(what) => {
            let problem = Problem::error(None, format!("{} is {}", shown(&name), what.words()), what.instead());
            return Ok(Loaded::failed(problem, Vec::new()));
        }
        Found::TooLarge => return Ok(Loaded::failed(too_large(&name), Vec::new())),
    };
    let text = match String::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => {
            let (text, problem) = not_utf8(error.as_bytes(), &error.utf8_error(), SourceId(0));
            return Ok(Loaded::failed(problem, vec![Source { name, text, is_sheet: false }]));
        }
    };
    from_path_with(path, &text, printable)
}

/// Reads a book as if the file at `path` held `text`: what it would be after a change. Tables are read beside it; where the path is
/// a link, beside the file that it leads to.
///
/// # Errors
/// As [`from_path`].
pub fn from_path_with(path: &Path, text: &str, printable: fn(char) -> bool) -> Result<Loaded, io::Error> {
    from_path_with_files(path, text, &[], printable)
}

/// As [`from_path_with`], with some of the files that the book names as they would be after a change, too: names and texts.
///
/// # Errors
/// As [`from_path`].
pub fn from_path_with_files(
    path: &Path,
    text: &str,
    files: &[(&str, &str)],
    printable: fn(char) -> bool,
) -> Result<Loaded, io::Error> {
    let name = path.display().to_string();
    let real = real(path);
    let directory = real.parent().unwrap_or(Path::new(""));
    let file = |table: &str| identity(&directory.join(table));
    let files: Vec<(PathBuf, &str)> = files.iter().map(|(name, content)| (file(name), *content)).collect();
    let mut named = Vec::new();
    let mut open = |table: &str| {
        let (path, real) = (directory.join(table), file(table));
        named.push(path.clone());
        match files.iter().find(|(file, _)| *file == real) {
            Some((_, content)) => Ok(in_memory(content.as_bytes().to_vec())),
            None => open::read(&path, MAX_FILE_BYTES),
        }
    };
    let title = |table: &str| directory.join(table).display().to_string();
    let loaded = load(&name, text, Opening { open: &mut open, file: &file, title: &title, printable })?;
    Ok(Loaded { files: named, ..loaded })
}

/// Reads a book from a text already in memory; `tables` gives the text of a CSV file it names, if there is one.
pub fn from_text(
    name: &str,
    text: &str,
    tables: &dyn Fn(&str) -> Option<String>,
    printable: fn(char) -> bool,
) -> Loaded {
    from_memory(name, text, &|table| tables(table).map(String::into_bytes), printable)
}

/// As [`from_text`], with files of any kind that the book names: `files` gives the bytes of one, if it is there.
pub fn from_memory(
    name: &str,
    text: &str,
    files: &dyn Fn(&str) -> Option<Vec<u8>>,
    printable: fn(char) -> bool,
) -> Loaded {
    let mut open = |table: &str| Ok(files(table).map_or(Found::Missing, in_memory));
    let opening = Opening { open: &mut open, file: &|table| table.into(), title: &|table| table.to_owned(), printable };
    match load(name, text, opening) {
        Ok(loaded) => loaded,
        Err(error) => Loaded::failed(Problem::error(None, error.to_string(), "try again"), Vec::new()),
    }
}

fn load(name: &str, text: &str, opening: Opening<'_>) -> io::Result<Loaded> {
    if text.len() > MAX_FILE_BYTES {
        return Ok(Loaded::failed(too_large(name), Vec::new()));
    }
    let mut problems = Vec::new();
    let printable = opening.printable;
    let root = tree::parse(SourceId(0), text, printable, &mut problems);
    let mut tables = Tables::new(opening, Source { name: name.to_owned(), text: text.to_owned(), is_sheet: false });
    let read = root.map(|root| (read::book(&root, &mut tables, &mut problems), root));
    if let Some(failure) = tables.failure.take() {
        return Err(failure);
    }
    let mut problems = in_order(problems);
    tables.drop_what_follows(&mut problems);
    let is_sound = problems.iter().all(|problem| problem.level == Level::Warning);
    let (book, rest) = match read {
        Some((Some(sections), _)) if is_sound => (Some(Book::whole(sections)), None),
        Some((Some(sections), root)) => {
            let rest = rest::of(&root, sections, &problems, &|text| tables.named(text));
            (None, rest)
        }
        _ => (None, None),
    };
    Ok(Loaded { book, rest, problems, sources: tables.sources, files: Vec::new() })
}

/// Problems by place, each once: a block used twice by reference is wrong twice, but mended once.
fn in_order(problems: Vec<Problem>) -> Vec<Problem> {
    let mut seen = HashSet::new();
    let is_first: Vec<bool> = problems.iter().map(|problem| seen.insert(problem)).collect();
    drop(seen);
    let first = problems.into_iter().zip(is_first).filter(|(_, is_first)| *is_first).map(|(problem, _)| problem);
    let mut first: Vec<Problem> = first.collect();
    first.sort_by_key(|problem| problem.place.as_ref().map(|place| (place.source, place.bytes.start)));
    first
}

/// Bytes in the place of a file.
fn in_memory(bytes: Vec<u8>) -> Found<Vec<u8>> {
    if bytes.len() > MAX_FILE_BYTES { Found::TooLarge } else { Found::File(bytes) }
}

fn too_large(name: &str) -> Problem {
    Problem::error(
        None,
        format!("{} is larger than {} MB", shown(name), MAX_FILE_BYTES / 1_000_000),
        "a book is a few pages of text: check that this is the right file",
    )
}

/// What can be shown of a file that is not UTF-8, and the place where it stops being so.
fn not_utf8(bytes: &[u8], error: &std::str::Utf8Error, source: SourceId) -> (String, Problem) {
    (String::from_utf8_lossy(bytes).into_owned(), not_utf8_at(error.valid_up_to(), source))
}

/// What is to be said of a file that stops being text at this byte.
pub(super) fn not_utf8_at(at: usize, source: SourceId) -> Problem {
    let place = Place { source, bytes: at..at + char::REPLACEMENT_CHARACTER.len_utf8() };
    Problem::error(
        place,
        "this file is not UTF-8 text from here on",
        "save it again from the editor with the encoding UTF-8",
    )
}
