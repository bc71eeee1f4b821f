//! A table as a workbook of a spreadsheet (ECMA-376), the same bytes for the same cells. Knows nothing of what the cells mean.

use std::io::{Cursor, Read as _, Write as _};

use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, XlsxError};
use zip::result::ZipError;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

/// What stands in a cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cell<'a> {
    /// Nothing.
    Empty,
    /// A number.
    Number(f64),
    /// A text, which no spreadsheet takes for a formula.
    Text(&'a str),
}

/// Why a table is no workbook.
#[derive(Debug)]
pub struct Failed(String);

/// The day that a workbook says it was made on, so that it says the same each time: the first that its wrapping can have.
const MADE_ON: (u16, u8, u8) = (1980, 1, 1);
/// Letters of a sheet's name.
const MOST_LETTERS: usize = 31;
/// Letters that no sheet's name may have (ECMA-376, part 1, 18.2.19).
const NO_NAME: [char; 7] = ['[', ']', ':', '*', '?', '/', '\\'];
/// The part that says which program made a workbook, and how the library fills it.
const PROGRAM_PART: &str = "docProps/app.xml";
const PROGRAM: (&str, &str) = ("<Application>", "</Application>");

impl std::fmt::Display for Failed {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for Failed {}

impl From<XlsxError> for Failed {
    fn from(error: XlsxError) -> Self {
        Failed(error.to_string())
    }
}

impl From<ZipError> for Failed {
    fn from(error: ZipError) -> Self {
        Failed(error.to_string())
    }
}

impl From<std::io::Error> for Failed {
    fn from(error: std::io::Error) -> Self {
        Failed(error.to_string())
    }
}

/// A workbook of one sheet; the first row is what stands over the columns.
///
/// # Errors
/// There are more rows, columns or letters than a sheet holds.
pub fn workbook(sheet: &str, rows: &[Vec<Cell<'_>>]) -> Result<Vec<u8>, Failed> {
    let mut book = Workbook::new();
    let (year, month, day) = MADE_ON;
    book.set_properties(&DocProperties::new().set_creation_datetime(&ExcelDateTime::from_ymd(year, month, day)?));
    let (heads, plain) = (Format::new().set_bold(), Format::new());
    let page = book.add_worksheet();
    let name: String = sheet.chars().filter(|letter| !NO_NAME.contains(letter)).take(MOST_LETTERS).collect();
    page.set_name(if name.is_empty() { "table" } else { &name })?;
    for (row, cells) in (0..).zip(rows) {
        let format = if row == 0 { &heads } else { &plain };
        for (column, cell) in (0..).zip(cells) {
            match cell {
                Cell::Empty => continue,
                Cell::Number(number) => page.write_number_with_format(row, column, *number, format)?,
                Cell::Text(text) => page.write_string_with_format(row, column, *text, format)?,
            };
        }
    }
    page.set_freeze_panes(1, 1)?;
    page.autofit();
    in_our_name(&book.save_to_buffer()?)
}

/// A workbook that names this program as the one that made it.
fn in_our_name(bytes: &[u8]) -> Result<Vec<u8>, Failed> {
    let mut archive = ZipArchive::new(Cursor::new(bytes))?;
    let mut named = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    for index in 0..archive.len() {
        let mut part = archive.by_index(index)?;
        let name = part.name()?.into_owned();
        let mut content = String::new();
        part.read_to_string(&mut content)?;
        if name == PROGRAM_PART {
            content = with_program(&content);
        }
        named.start_file(name, options)?;
        named.write_all(content.as_bytes())?;
    }
    Ok(named.finish()?.into_inner())
}

fn with_program(part: &str) -> String {
    let (open, close) = PROGRAM;
    match (part.split_once(open), part.split_once(close)) {
        (Some((before, _)), Some((_, after))) => format!("{before}{open}{}{close}{after}", env!("CARGO_PKG_NAME")),
        _ => part.to_owned(),
    }
}
