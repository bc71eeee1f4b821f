//! The files that a book names: each is read once, whatever it is called and however many name it, and each sheet of a workbook is
//! one more of them. Knows what a file is called and what is in it as text; what that means, it does not know.

use std::collections::{HashMap, HashSet};
use std::io;
use std::path::PathBuf;
use std::rc::Rc;

use super::encoding::{self, From};
use super::raw_rows::{Column, RawRow};
use super::workbook::{self, Allowance, Workbook};
use crate::book::model::Spanned;
use crate::book::problem::{Place, Problem, Source, SourceId};
use crate::disk::open::{Found, NoFile};
use crate::limits;
use crate::wrong::{Wrong, shown};

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
    /// The workbooks that were opened; of one that could not be, why.
    workbooks: Vec<(PathBuf, Result<Workbook, Wrong>)>,
    /// What of those may still be unpacked and read.
    allowance: Allowance,
    /// Cells of which it was said that nothing can be read from them.
    unreadable: HashSet<Place>,
    /// Which of those that were read a name means.
    names: HashMap<String, usize>,
    /// Bytes of all tables that were read.
    bytes: usize,
    /// Cells of all tables of settings that were handed out.
    cells: usize,
}

/// A file that was read, or a sheet of it.
struct Read {
    file: PathBuf,
    sheet: Option<String>,
    text: Text,
    /// What it says as a table of settings, once that was asked for.
    rows: Option<Option<Rc<Rows>>>,
}

/// The text of a file.
#[derive(Clone)]
pub(super) struct Text {
    pub source: SourceId,
    pub text: Rc<str>,
    /// Whether it is a table that can be read; if not, that was told, and this is what can be shown of it.
    pub is_sound: bool,
    /// Whether it is a sheet of a workbook.
    pub is_sheet: bool,
}

/// What stands before the name of a sheet.
const SHEET: char = '#';
/// How the name of a workbook ends.
const WORKBOOK: &str = ".xlsx";
/// How the names of spreadsheets end that are not read.
const OTHER_SPREADSHEETS: [&str; 6] = [".xls", ".ods", ".xlsm", ".xlsb", ".fods", ".numbers"];

/// The name of a file and of the sheet in it, `j1.xlsx#upwind`; only a workbook has sheets.
pub fn file_and_sheet(name: &str) -> (&str, Option<&str>) {
    let lower = name.to_ascii_lowercase();
    let is_spreadsheet = |file: &str| OTHER_SPREADSHEETS.iter().chain([&WORKBOOK]).any(|end| file.ends_with(end));
    let sheet = name.char_indices().find(|(at, letter)| *letter == SHEET && is_spreadsheet(&lower[..*at]));
    sheet.map_or((name, None), |(at, _)| (&name[..at], Some(&name[at + SHEET.len_utf8()..])))
}

/// Whether a file is a workbook by its name.
pub fn is_workbook(name: &str) -> bool {
    file_and_sheet(name).0.to_ascii_lowercase().ends_with(WORKBOOK)
}

impl<'a> Tables<'a> {
    /// With the book itself as the first source.
    pub fn new(opening: Opening<'a>, book: Source) -> Self {
        let (read, names) = (Vec::new(), HashMap::new());
        let (workbooks, unreadable, allowance) = (Vec::new(), HashSet::new(), Allowance::default());
        let sources = vec![book];
        Tables { opening, sources, failure: None, read, workbooks, allowance, unreadable, names, bytes: 0, cells: 0 }
    }

    /// Takes out what else was said of cells that cannot be read: it comes of that.
    pub fn drop_what_follows(&self, problems: &mut Vec<Problem>) {
        let mut told: HashSet<&Place> = HashSet::new();
        problems.retain(|problem| {
            let place = problem.place.as_ref().and_then(|place| self.unreadable.get(place));
            place.is_none_or(|place| told.insert(place))
        });
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
        let index = match self.index(name, problems)? {
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
            Found::Missing => (
                "there is no file".to_owned(),
                "name a CSV file or a workbook by its path from the book's own directory",
            ),
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

    fn index(&mut self, name: &Spanned<String>, problems: &mut Vec<Problem>) -> Option<Found<usize>> {
        if let Some(index) = self.names.get(&name.value) {
            return Some(Found::File(*index));
        }
        let (path, sheet) = file_and_sheet(&name.value);
        let file = (self.opening.file)(path);
        let lower = path.to_ascii_lowercase();
        if OTHER_SPREADSHEETS.iter().any(|end| lower.ends_with(end)) {
            let wrong = Wrong::new(
                format!("a table is not read from this kind of file: {}", shown(path)),
                "save it as .xlsx or as CSV, and name that",
            );
            return Some(Found::File(self.keep_unread(name, file, sheet, wrong, problems)));
        }
        if lower.ends_with(WORKBOOK) {
            return self.sheet(name, (path, file), sheet, problems);
        }
        if let Some(index) = self.read.iter().position(|read| read.file == file) {
            self.names.insert(name.value.clone(), index);
            return Some(Found::File(index));
        }
        let bytes = match self.bytes_of(path)? {
            Found::File(bytes) => bytes,
            Found::Missing => return Some(Found::Missing),
            Found::NoFile(what) => return Some(Found::NoFile(what)),
            Found::TooLarge => return Some(Found::TooLarge),
        };
        if workbook::is_workbook(&bytes) {
            let wrong = Wrong::new(
                format!("{} is a workbook and no CSV file, whatever it is called", shown(path)),
                "give it a name that ends in .xlsx, or save the sheet as CSV",
            );
            return Some(Found::File(self.keep_unread(name, file, None, wrong, problems)));
        }
        let source = SourceId(self.sources.len());
        let decoded = encoding::decode(bytes);
        let told = as_decoded(&decoded, source);
        let is_sound = !matches!(decoded.from, From::Damaged(_));
        problems.extend(told);
        let text = Text { source, text: decoded.text.as_str().into(), is_sound, is_sheet: false };
        Some(Found::File(self.keep(name, Read { file, sheet: None, text, rows: None }, (self.opening.title)(path))))
    }

    /// A sheet of a workbook, which is opened once however many of its sheets are named.
    fn sheet(
        &mut self,
        name: &Spanned<String>,
        (path, file): (&str, PathBuf),
        sheet: Option<&str>,
        problems: &mut Vec<Problem>,
    ) -> Option<Found<usize>> {
        let known = self.workbooks.iter().position(|(known, _)| *known == file);
        let at = match known {
            Some(at) => at,
            None => {
                let bytes = match self.bytes_of(path)? {
                    Found::File(bytes) => bytes,
                    Found::Missing => return Some(Found::Missing),
                    Found::NoFile(what) => return Some(Found::NoFile(what)),
                    Found::TooLarge => return Some(Found::TooLarge),
                };
                self.workbooks.push((file.clone(), Workbook::open(&bytes, &mut self.allowance)));
                self.workbooks.len() - 1
            }
        };
        let (_, opened) = self.workbooks.get_mut(at)?;
        let chosen = match opened {
            Ok(book) => book.sheet(sheet).map(|chosen| (book, chosen)),
            Err(wrong) => Err(wrong.clone()),
        };
        let (book, chosen) = match chosen {
            Ok(found) => found,
            Err(wrong) => {
                let wrong = wrong.about(&shown(path));
                return Some(Found::File(self.keep_unread(name, file, sheet, wrong, problems)));
            }
        };
        let is_it = |read: &Read| read.file == file && read.sheet.as_deref() == Some(&chosen) && read.text.is_sheet;
        if let Some(index) = self.read.iter().position(is_it) {
            self.names.insert(name.value.clone(), index);
            return Some(Found::File(index));
        }
        let lines = match book.lines(&chosen) {
            Ok(lines) => lines,
            Err(wrong) => {
                let wrong = wrong.about(&shown(path));
                return Some(Found::File(self.keep_unread(name, file, sheet, wrong, problems)));
            }
        };
        self.bytes += lines.text.len();
        if self.bytes > limits::MAX_TABLES_BYTES {
            return Some(Found::TooLarge);
        }
        let source = SourceId(self.sources.len());
        for (bytes, wrong) in lines.faults {
            let place = Place { source, bytes };
            problems.push(wrong.at(&place));
            self.unreadable.insert(place);
        }
        let title = format!("{}{SHEET}{chosen}", (self.opening.title)(path));
        let text = Text { source, text: lines.text.into(), is_sound: true, is_sheet: true };
        Some(Found::File(self.keep(name, Read { file, sheet: Some(chosen), text, rows: None }, title)))
    }

    /// The bytes of a file, counted; `None` if the machine failed.
    fn bytes_of(&mut self, path: &str) -> Option<Found<Vec<u8>>> {
        match (self.opening.open)(path) {
            Ok(Found::File(bytes)) => {
                self.bytes += bytes.len();
                let is_too_much = self.bytes > limits::MAX_TABLES_BYTES;
                Some(if is_too_much { Found::TooLarge } else { Found::File(bytes) })
            }
            Ok(other) => Some(other),
            Err(error) => {
                self.failure.get_or_insert(error);
                None
            }
        }
    }

    /// Remembers a file that cannot be read as a table, and says why where it is named.
    fn keep_unread(
        &mut self,
        name: &Spanned<String>,
        file: PathBuf,
        sheet: Option<&str>,
        wrong: Wrong,
        problems: &mut Vec<Problem>,
    ) -> usize {
        problems.push(wrong.at(&name.place));
        let source = SourceId(self.sources.len());
        let text = Text { source, text: "".into(), is_sound: false, is_sheet: false };
        let title = (self.opening.title)(&name.value);
        self.keep(name, Read { file, sheet: sheet.map(str::to_owned), text, rows: None }, title)
    }

    fn keep(&mut self, name: &Spanned<String>, read: Read, title: String) -> usize {
        let Text { text, is_sheet, .. } = &read.text;
        self.sources.push(Source { name: title, text: text.to_string(), is_sheet: *is_sheet });
        self.names.insert(name.value.clone(), self.read.len());
        self.read.push(read);
        self.read.len() - 1
    }
}

/// What is to be said of how a file's bytes were read.
fn as_decoded(decoded: &encoding::Decoded, source: SourceId) -> Option<Problem> {
    let letter = |at: usize| {
        let len = decoded.text.get(at..).and_then(|rest| rest.chars().next()).map_or(1, char::len_utf8);
        Place { source, bytes: at..at + len }
    };
    match decoded.from {
        From::Utf8 | From::Utf16 => None,
        From::Windows(at) => Some(Problem::warning(
            letter(at),
            "this file is not UTF-8; it was read as the letters of Windows in Western Europe (windows-1252)",
            "look whether this letter is right; to be sure, save the file again with the encoding UTF-8",
        )),
        From::Damaged(at) => Some(crate::book::load::not_utf8_at(at, source)),
    }
}

/// What is wrong with what stands in the place of a table's file, and what would be right.
pub(super) fn no_file(what: &NoFile) -> (String, &'static str) {
    let instead = if *what == NoFile::Directory { "name the file in it" } else { what.instead() };
    (format!("this is {}", what.words()), instead)
}
