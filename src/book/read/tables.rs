//! The files that a book names: each is read once, whatever it is called and however many name it. Knows what a file is called
//! and what is in it as text; what that means, it does not know.

use std::collections::HashMap;
use std::io;
use std::path::PathBuf;
use std::rc::Rc;

use super::raw_rows::{Column, RawRow};
use crate::book::model::Spanned;
use crate::book::problem::{Problem, Source, SourceId};
use crate::disk::open::{Found, NoFile};
use crate::limits;
use crate::wrong::shown;

/// Columns and rows of a table of settings.
pub(super) type Rows = (Vec<Column>, Vec<RawRow>);

/// How the files are found that a book names.
pub struct Opening<'a> {
    /// Opens the file a book calls by this name.
    pub open: &'a mut dyn FnMut(&str) -> io::Result<Found<Vec<u8>>>,
    /// One path for each file, however it is spelt.
    pub file: &'a dyn Fn(&str) -> PathBuf,
    /// What messages call it.
    pub title: &'a dyn Fn(&str) -> String,
    pub printable: fn(char) -> bool,
}

/// The files that a book can name, and those that were read.
pub struct Tables<'a> {
    opening: Opening<'a>,
    pub sources: Vec<Source>,
    /// The first failure of the machine.
    pub failure: Option<io::Error>,
    read: Vec<Read>,
    /// Which of those that were read a name means.
    names: HashMap<String, usize>,
    /// Bytes of all tables that were read.
    bytes: usize,
    /// Cells of all tables of settings that were handed out.
    cells: usize,
}

/// A file that was read.
struct Read {
    file: PathBuf,
    text: Text,
    /// What it says as a table of settings, once that was asked for.
    rows: Option<Option<Rc<Rows>>>,
}

/// The text of a file.
#[derive(Clone)]
pub(super) struct Text {
    pub source: SourceId,
    pub text: Rc<str>,
    /// Whether it was UTF-8; if not, that was told, and this is what can be shown of it.
    pub is_sound: bool,
}

impl<'a> Tables<'a> {
    /// With the book itself as the first source.
    pub fn new(opening: Opening<'a>, book: Source) -> Self {
        let (read, names) = (Vec::new(), HashMap::new());
        Tables { opening, sources: vec![book], failure: None, read, names, bytes: 0, cells: 0 }
    }

    pub fn printable(&self) -> fn(char) -> bool {
        self.opening.printable
    }

    /// The source that a text of the book names, if it is the name of a file that was read.
    pub fn named(&self, text: &str) -> Option<SourceId> {
        self.names.get(text).and_then(|index| self.read.get(*index)).map(|read| read.text.source)
    }

    /// The text of the file that `name` means, or what stands there instead; `None` if the machine failed.
    pub(super) fn find(&mut self, name: &Spanned<String>, problems: &mut Vec<Problem>) -> Option<Found<Text>> {
        let index = match self.index(&name.value, problems)? {
            Found::File(index) => index,
            Found::Missing => return Some(Found::Missing),
            Found::NoFile(what) => return Some(Found::NoFile(what)),
            Found::TooLarge => return Some(Found::TooLarge),
        };
        self.read.get(index).map(|read| Found::File(read.text.clone()))
    }

    /// The text of a table; says so if there is none.
    pub(super) fn table(&mut self, name: &Spanned<String>, problems: &mut Vec<Problem>) -> Option<Text> {
        let (complaint, instead) = match self.find(name, problems)? {
            Found::File(text) => return Some(text),
            Found::Missing => {
                ("there is no file".to_owned(), "name a CSV file by its path from the book's own directory")
            }
            Found::NoFile(what) => no_file(&what),
            Found::TooLarge => {
                let what = self.too_many_bytes().unwrap_or_else(|| "this file is larger than 4 MB".to_owned());
                (what, "a table of settings is a few lines")
            }
        };
        problems.push(Problem::error(name.place.clone(), format!("{complaint}: {}", shown(&name.value)), instead));
        None
    }

    /// That all files together are too large, if they are.
    pub(super) fn too_many_bytes(&self) -> Option<String> {
        let most = limits::MAX_TABLES_BYTES;
        (self.bytes > most).then(|| format!("the files that this book names have more than {} MB", most / 1_000_000))
    }

    /// What a file says as a table of settings; `read` is asked once for each file.
    pub(super) fn rows(
        &mut self,
        name: &Spanned<String>,
        text: &Text,
        problems: &mut Vec<Problem>,
        read: impl FnOnce(&mut Vec<Problem>) -> Option<Rows>,
    ) -> Option<Rc<Rows>> {
        let known = *self.names.get(&name.value)?;
        let known = self.read.get_mut(known)?;
        let rows =
            known.rows.get_or_insert_with(|| text.is_sound.then(|| read(problems)).flatten().map(Rc::new)).clone()?;
        let before = self.cells;
        self.cells += rows.1.iter().map(|row| row.cells.len()).sum::<usize>();
        if self.cells <= limits::MAX_VALUES {
            return Some(rows);
        }
        if before <= limits::MAX_VALUES {
            let what = format!("the settings take more than {} readings from tables", limits::MAX_VALUES);
            problems.push(Problem::error(name.place.clone(), what, "keep to the settings and rows that are sailed"));
        }
        None
    }

    fn index(&mut self, name: &str, problems: &mut Vec<Problem>) -> Option<Found<usize>> {
        if let Some(index) = self.names.get(name) {
            return Some(Found::File(*index));
        }
        let file = (self.opening.file)(name);
        if let Some(index) = self.read.iter().position(|read| read.file == file) {
            self.names.insert(name.to_owned(), index);
            return Some(Found::File(index));
        }
        let bytes = match (self.opening.open)(name) {
            Ok(Found::File(bytes)) => bytes,
            Ok(Found::Missing) => return Some(Found::Missing),
            Ok(Found::NoFile(what)) => return Some(Found::NoFile(what)),
            Ok(Found::TooLarge) => return Some(Found::TooLarge),
            Err(error) => {
                self.failure.get_or_insert(error);
                return None;
            }
        };
        self.bytes += bytes.len();
        if self.bytes > limits::MAX_TABLES_BYTES {
            return Some(Found::TooLarge);
        }
        let source = SourceId(self.sources.len());
        let (text, is_sound) = match String::from_utf8(bytes) {
            Ok(text) => (text, true),
            Err(error) => {
                let (lossy, problem) = crate::book::load::not_utf8(error.as_bytes(), &error.utf8_error(), source);
                problems.push(problem);
                (lossy, false)
            }
        };
        self.names.insert(name.to_owned(), self.read.len());
        self.read.push(Read { file, text: Text { source, text: text.as_str().into(), is_sound }, rows: None });
        self.sources.push(Source { name: (self.opening.title)(name), text });
        Some(Found::File(self.read.len() - 1))
    }
}

/// What is wrong with what stands in the place of a CSV file, and what would be right.
pub(super) fn no_file(what: &NoFile) -> (String, &'static str) {
    let instead = if *what == NoFile::Directory { "name the CSV file in it" } else { what.instead() };
    (format!("this is {}", what.words()), instead)
}
