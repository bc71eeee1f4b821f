//! From a path or a text to a checked book and all its problems. The only reading of files in this stage.

use std::path::Path;

use super::model::Book;
use super::problem::{Level, Problem, Source};

/// What loading gave: the book if it could be understood at all, and everything that is wrong with it.
#[derive(Debug)]
pub struct Loaded {
    /// Present even with errors where enough could be read; use it only if [`Loaded::is_sound`].
    pub book: Option<Book>,
    pub problems: Vec<Problem>,
    /// The book first, then the CSV files it names.
    pub sources: Vec<Source>,
}

impl Loaded {
    /// Whether there is a book and no error (warnings allowed).
    pub fn is_sound(&self) -> bool {
        self.book.is_some() && self.problems.iter().all(|problem| problem.level == Level::Warning)
    }
}

/// Reads a book and the tables it names. `printable` tells whether a character can be printed. `Err`: the machine failed
/// (no permission, a disk error); a missing file, a directory or a bad book are problems, not errors.
pub fn from_path(_path: &Path, _printable: fn(char) -> bool) -> Result<Loaded, std::io::Error> {
    todo!()
}

/// Reads a book from a text already in memory; `tables` gives the text of a CSV file it names, if there is one.
pub fn from_text(
    _name: &str,
    _text: &str,
    _tables: &dyn Fn(&str) -> Option<String>,
    _printable: fn(char) -> bool,
) -> Loaded {
    todo!()
}
