//! A workbook of a spreadsheet program (ECMA-376): which sheets it has, and a sheet as lines of text with commas between its
//! cells, one line a row, so that it is read on like any other table. Knows the form of the file; nothing of what the cells mean.
//!
//! Whoever made the file may mean harm. So its parts are unpacked and counted before anything is read from them, and what
//! could make a little stand for a great deal is taken out: fonts and borders, which say nothing here.

use std::cell::Cell as Shared;
use std::collections::BTreeMap;
use std::io::{self, Cursor, Read, Seek, SeekFrom, Write as _};
use std::ops::Range;
use std::rc::Rc;

use calamine::{Data, DataRef, Reader as _, SheetType, SheetVisible, Xlsx};
use quick_xml::events::{BytesEnd, BytesStart, Event};
use quick_xml::{Reader, Writer};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use super::shown_number;
use crate::book::characters;
use crate::limits;
use crate::wrong::{Wrong, shown};

/// How a file of the zip format begins.
const ZIP: &[u8] = b"PK\x03\x04";
/// How a workbook of the older form begins, and one that is locked with a password.
const COMPOUND: &[u8] = &[0xD0, 0xCF, 0x11, 0xE0];
/// Parts of a workbook that nothing is read from.
const UNREAD: [&str; 9] = [
    "/theme/",
    "/drawings/",
    "/charts/",
    "/media/",
    "docprops/",
    "customxml/",
    "/printersettings/",
    "/pivot",
    "/externallinks/",
];
const STYLES: &str = "styles.xml";
const STRINGS: &str = "sharedstrings.xml";
/// What a list of texts says of its own length; whoever believes it makes room for so many.
const OWN_LENGTH: &[u8] = b"uniqueCount";
/// Attributes that hold a place in a sheet.
const PLACES: [&str; 2] = ["r", "ref"];
/// Letters and digits of a place, `XFD1048576`: the last of a sheet (ECMA-376, part 1, 18.3.1.4).
const MOST_LETTERS: usize = 3;
const MOST_DIGITS: usize = 7;
/// Letters that columns are called by.
const LETTERS: u32 = 26;
/// Between two sheets in a message.
const AND: &str = ", ";

const SAVE_AGAIN: &str = "open it in the spreadsheet, save it once more as .xlsx, or save the sheet as CSV";

/// A workbook that was opened.
pub struct Workbook {
    book: Xlsx<Metered>,
    left: Rc<Shared<usize>>,
}

/// What may still be unpacked and read of all workbooks that one book names.
pub struct Allowance {
    unpacked: usize,
    read: Rc<Shared<usize>>,
}

impl Default for Allowance {
    fn default() -> Self {
        let read = Rc::new(Shared::new(limits::MAX_SHEET_BYTES_READ));
        Allowance { unpacked: limits::MAX_UNPACKED_TOGETHER, read }
    }
}

/// The unpacked parts of a workbook, each byte counted as often as it is read.
struct Metered {
    parts: Cursor<Vec<u8>>,
    left: Rc<Shared<usize>>,
}

impl Read for Metered {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let count = self.parts.read(into)?;
        let left = self.left.get().checked_sub(count);
        self.left.set(left.unwrap_or_default());
        left.map(|_| count).ok_or_else(|| io::Error::from(io::ErrorKind::FileTooLarge))
    }
}

impl Seek for Metered {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.parts.seek(to)
    }
}

/// A sheet as text.
#[derive(Debug, Default)]
pub struct Sheet {
    /// A line for each row of the sheet, from its first on, with commas between the cells.
    pub text: String,
    /// What cannot be read of it, and where it stands in the text.
    pub faults: Vec<(Range<usize>, Wrong)>,
}

/// Whether these are the first bytes of a workbook, whatever the file is called.
pub fn is_workbook(bytes: &[u8]) -> bool {
    bytes.starts_with(ZIP) || bytes.starts_with(COMPOUND)
}

impl Workbook {
    /// Opens a workbook that is in memory, and takes what it unpacks to from what all may.
    ///
    /// # Errors
    /// It is none, it is locked, or it unpacks to more than any workbook of a boat holds, or all of hers.
    pub fn open(bytes: &[u8], allowance: &mut Allowance) -> Result<Self, Wrong> {
        if bytes.starts_with(COMPOUND) {
            return Err(Wrong::new(
                "this workbook is locked with a password, or is one of the older form",
                "save it without the password as .xlsx",
            ));
        }
        let pared = pared(bytes, &mut allowance.unpacked)?;
        let left = Rc::clone(&allowance.read);
        let metered = Metered { parts: Cursor::new(pared), left: Rc::clone(&left) };
        match Xlsx::new(metered) {
            Ok(book) => Ok(Workbook { book, left }),
            Err(_) => Err(unreadable_of(&left)),
        }
    }

    /// The sheet of a name, or the only one where none is named; sheets that are hidden are not counted.
    ///
    /// # Errors
    /// There is none of that name, or several to choose from.
    pub fn sheet(&self, name: Option<&str>) -> Result<String, Wrong> {
        let sheets = self.book.sheets_metadata();
        let tables: Vec<_> = sheets.iter().filter(|sheet| sheet.typ == SheetType::WorkSheet).collect();
        let seen: Vec<&str> = tables
            .iter()
            .filter(|sheet| sheet.visible == SheetVisible::Visible)
            .map(|sheet| sheet.name.as_str())
            .collect();
        let listed = || listed(&seen);
        let Some(name) = name else {
            return match seen.as_slice() {
                [only] => Ok((*only).to_owned()),
                [] => Err(Wrong::new("this workbook has no sheet that can be seen", SAVE_AGAIN)),
                [first, ..] => Err(Wrong::new(
                    format!("this workbook has several sheets: {}", listed()),
                    format!("name the one that is meant after a `#`, like `#{first}`"),
                )),
            };
        };
        let exact = tables.iter().find(|sheet| sheet.name == name);
        // No two sheets of a workbook differ in their capitals alone.
        let loose = || tables.iter().find(|sheet| sheet.name.to_lowercase() == name.to_lowercase());
        match exact.or_else(loose) {
            Some(sheet) => Ok(sheet.name.clone()),
            None => Err(Wrong::new(
                format!("this workbook has no sheet {}", shown(name)),
                format!("its sheets are {}", listed()),
            )),
        }
    }

    /// A sheet as lines of text.
    ///
    /// # Errors
    /// The sheet is damaged, or has more in it than any table of a boat.
    pub fn lines(&mut self, sheet: &str) -> Result<Sheet, Wrong> {
        let mut cells = self.values(sheet)?;
        let left = Rc::clone(&self.left);
        let mut reader = self.book.worksheet_cells_reader(sheet).map_err(|_| unreadable_of(&left))?;
        while let Some(cell) = reader.next_cell_with_formula_metadata().map_err(|_| unreadable_of(&left))? {
            let is_open = cell.formula.is_some() && cell.value == DataRef::Empty;
            if is_open && !cells.contains_key(&cell.pos) && cells.len() <= limits::MAX_SHEET_CELLS {
                cells.insert(cell.pos, Cell::Fault("=".to_owned(), never_worked_out()));
            }
        }
        laid_out(&cells)
    }

    /// What the cells of a sheet hold, without those that hold nothing.
    fn values(&mut self, sheet: &str) -> Result<Cells, Wrong> {
        let (mut cells, mut bytes) = (Cells::new(), 0);
        let left = Rc::clone(&self.left);
        let mut reader = self.book.worksheet_cells_reader(sheet).map_err(|_| unreadable_of(&left))?;
        let formats: Vec<String> = reader.styles().iter().map(format_of).collect();
        while let Some((cell, style)) = reader.next_cell_with_style_id().map_err(|_| unreadable_of(&left))? {
            let format = formats.get(style).map_or("", String::as_str);
            let Some(content) = content(cell.get_value(), format) else { continue };
            bytes += content.text().len() + 1;
            cells.insert(cell.get_position(), content);
            if cells.len() > limits::MAX_SHEET_CELLS || bytes > limits::MAX_FILE_BYTES {
                return Err(too_large());
            }
        }
        Ok(cells)
    }
}

/// Cells by row and column, both counted from 0.
type Cells = BTreeMap<(u32, u32), Cell>;

/// What stands in a cell.
enum Cell {
    Text(String),
    /// What is shown there, and what is wrong with it.
    Fault(String, Wrong),
}

impl Cell {
    fn text(&self) -> &str {
        match self {
            Cell::Text(text) | Cell::Fault(text, _) => text,
        }
    }
}

fn unreadable() -> Wrong {
    Wrong::new("this file is no workbook that can be read", SAVE_AGAIN)
}

/// Why a workbook could not be read on: it is damaged, or all of the book's have had what they may.
fn unreadable_of(left: &Shared<usize>) -> Wrong {
    if left.get() == 0 { too_large_together() } else { unreadable() }
}

fn too_large_together() -> Wrong {
    let most = limits::MAX_UNPACKED_TOGETHER / 1_000_000;
    Wrong::new(
        format!("with this workbook, those that the book names have more in them than the {most} MB that are read"),
        "save the sheets that the book names as a workbook of their own",
    )
}

/// Names of sheets for a message, the first of many.
fn listed(names: &[&str]) -> String {
    let mut listed: Vec<String> = names.iter().take(limits::MAX_LISTED_SHEETS).map(|name| shown(name)).collect();
    let more = names.len() - listed.len();
    if more > 0 {
        listed.push(format!("and {more} more"));
    }
    listed.join(AND)
}

fn too_large() -> Wrong {
    let most = limits::MAX_UNPACKED_BYTES / 1_000_000;
    Wrong::new(
        format!("this workbook has more in it than the {most} MB or {} cells that are read", limits::MAX_SHEET_CELLS),
        "save the sheets that the book names as a workbook of their own",
    )
}

fn never_worked_out() -> Wrong {
    Wrong::new(
        "this cell has a formula whose value is not in the file",
        "open the workbook in a spreadsheet and save it, or write the value in place of the formula",
    )
}

/// What a cell says, as it shows it; `None` if it is empty.
fn content(value: &DataRef<'_>, format: &str) -> Option<Cell> {
    let text = match Data::from(value.clone()) {
        Data::Empty => return None,
        Data::Int(number) => shown_number::number(number as f64, format),
        Data::Float(number) => shown_number::number(number, format),
        Data::Bool(flag) => flag.to_string(),
        Data::DateTime(moment) => shown_number::moment(&moment, format),
        Data::String(text) | Data::DateTimeIso(text) | Data::DurationIso(text) => characters::tidy(&text),
        Data::Error(error) => {
            let wrong = Wrong::new(
                format!("this cell shows {}", shown(&error.to_string())),
                "correct its formula, or write the value in its place",
            );
            return Some(Cell::Fault(error.to_string(), wrong));
        }
    };
    (!text.is_empty()).then_some(Cell::Text(text))
}

/// How the numbers of a style are shown.
fn format_of(style: &calamine::Style) -> String {
    style.number_format.as_ref().map(|format| format.format_code.clone()).unwrap_or_default()
}

/// The cells as lines, the first row first; a row that is for people only is one line that starts with its sign.
fn laid_out(cells: &Cells) -> Result<Sheet, Wrong> {
    let mut sheet = Sheet::default();
    let mut at = (0, 0);
    let mut is_for_people = false;
    for ((row, column), cell) in cells {
        let is_first = *row != at.0 || sheet.text.is_empty() || sheet.text.ends_with('\n');
        let gap = if is_first { *column } else { column - at.1 };
        if sheet.text.len() + (row - at.0) as usize + gap as usize > limits::MAX_FILE_BYTES {
            return Err(too_large());
        }
        sheet.text.extend(std::iter::repeat_n('\n', (row - at.0) as usize));
        if is_first {
            is_for_people = matches!(cell, Cell::Text(text) if text.starts_with('#'));
        }
        if !is_for_people {
            sheet.text.extend(std::iter::repeat_n(',', gap as usize));
        } else if !is_first {
            sheet.text.push(' ');
        }
        let start = sheet.text.len();
        sheet.text.push_str(&if is_for_people { cell.text().to_owned() } else { quoted(cell.text()) });
        if let (Cell::Fault(_, wrong), false) = (cell, is_for_people) {
            sheet.faults.push((start..sheet.text.len(), wrong.clone()));
        }
        at = (*row, *column);
    }
    Ok(sheet)
}

fn quoted(cell: &str) -> String {
    if cell.contains([',', '"']) { format!("\"{}\"", cell.replace('"', "\"\"")) } else { cell.to_owned() }
}

/// The name of a cell's column: `A`, `Z`, `AA`.
pub fn column_name(mut index: usize) -> String {
    let mut name = Vec::new();
    loop {
        name.push(char::from(b'A' + (index % LETTERS as usize) as u8));
        if index < LETTERS as usize {
            break;
        }
        index = index / LETTERS as usize - 1;
    }
    name.iter().rev().collect()
}

/// The workbook with only those of its parts that are read, none of them larger than all may be. What is unpacked is taken from
/// what all workbooks may, also where nothing comes of it.
fn pared(bytes: &[u8], left: &mut usize) -> Result<Vec<u8>, Wrong> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|_| unreadable())?;
    let mut pared = ZipWriter::new(Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    let most = limits::MAX_UNPACKED_BYTES.min(*left);
    let mut unpacked = 0;
    for index in 0..archive.len() {
        let mut part = archive.by_index(index).map_err(|_| unreadable())?;
        let name = part.name().map_err(|_| unreadable())?.into_owned();
        let lower = name.to_lowercase().replace('\\', "/");
        let is_xml = lower.ends_with(".xml") || lower.ends_with(".rels");
        if !is_xml || UNREAD.iter().any(|unread| lower.contains(unread)) {
            continue;
        }
        let mut content = Vec::new();
        let room = most - unpacked;
        part.by_ref().take(room as u64 + 1).read_to_end(&mut content).map_err(|_| unreadable())?;
        *left = left.saturating_sub(content.len());
        if content.len() > room {
            return Err(if most < limits::MAX_UNPACKED_BYTES { too_large_together() } else { too_large() });
        }
        unpacked += content.len();
        if lower.ends_with(STYLES) {
            content = pared_styles(&content).ok_or_else(unreadable)?;
        }
        let is_sound = if lower.ends_with(STRINGS) { is_honest(&content) } else { are_places(&content) };
        if !is_sound {
            return Err(unreadable());
        }
        pared.start_file(name, stored).map_err(|_| unreadable())?;
        pared.write_all(&content).map_err(|_| unreadable())?;
    }
    pared.finish().map(Cursor::into_inner).map_err(|_| unreadable())
}

/// Whether a list of texts does not claim to hold more of them than it has bytes.
fn is_honest(strings: &[u8]) -> bool {
    let claims = strings.windows(OWN_LENGTH.len()).enumerate().filter(|(_, window)| *window == OWN_LENGTH);
    let number = |at: usize| {
        let behind = strings.get(at + OWN_LENGTH.len()..).unwrap_or_default();
        let digits = behind.iter().skip_while(|byte| !byte.is_ascii_digit()).take_while(|byte| byte.is_ascii_digit());
        digits.fold(0_usize, |number, digit| number.saturating_mul(10).saturating_add(usize::from(digit - b'0')))
    };
    // In letters of two bytes each the claim would go unseen.
    !strings.contains(&0) && claims.into_iter().all(|(at, _)| number(at) <= strings.len())
}

/// Whether all that is called a place in a part can be one of a sheet, `XFD1048576` at most; up to where the part can be read.
fn are_places(part: &[u8]) -> bool {
    let mut reader = Reader::from_reader(part);
    reader.config_mut().check_end_names = false;
    let mut buffer = Vec::new();
    loop {
        buffer.clear();
        match reader.read_event_into(&mut buffer) {
            Ok(Event::Start(element) | Event::Empty(element)) => {
                let named = |key: &str| PLACES.contains(&key);
                let mut attributes = element.attributes();
                let all = attributes.with_checks(false).flatten();
                let mut places = all.filter(|attribute| named(attribute.key.as_ref()));
                if !places.all(|attribute| is_area(&attribute.value)) {
                    return false;
                }
            }
            Ok(Event::Eof) | Err(_) => return true,
            Ok(_) => {}
        }
    }
}

/// Whether a text is a place, or an area from its first place to its last.
fn is_area(text: &str) -> bool {
    let places: Option<Vec<(u32, u32)>> = text.split(':').map(place).collect();
    places.is_some_and(|places| places.windows(2).all(|pair| pair[0].0 <= pair[1].0 && pair[0].1 <= pair[1].1))
}

/// The column and the row of a place, 0 where it names none.
fn place(text: &str) -> Option<(u32, u32)> {
    let (letters, digits) =
        text.split_at(text.find(|letter: char| !letter.is_ascii_alphabetic()).unwrap_or(text.len()));
    if letters.len() > MOST_LETTERS || digits.len() > MOST_DIGITS {
        return None;
    }
    let column =
        letters.bytes().fold(0, |column, letter| column * LETTERS + u32::from(letter.to_ascii_uppercase() - b'A') + 1);
    Some((column, if digits.is_empty() { 0 } else { digits.parse().ok()? }))
}

/// The styles without anything but how numbers are shown; `None` if they cannot be read.
fn pared_styles(styles: &[u8]) -> Option<Vec<u8>> {
    let mut reader = Reader::from_reader(styles);
    reader.config_mut().expand_empty_elements = true;
    reader.config_mut().check_end_names = false;
    let (mut formats, mut uses) = (Vec::new(), Vec::new());
    let mut is_used = false;
    let mut buffer = Vec::new();
    loop {
        buffer.clear();
        match reader.read_event_into(&mut buffer).ok()? {
            Event::Start(element) => {
                let name = element.local_name();
                match name.as_ref() {
                    "cellXfs" => is_used = true,
                    "numFmt" => formats.push((attribute(&element, "numFmtId")?, attribute(&element, "formatCode")?)),
                    "xf" if uses.len() == limits::MAX_CELL_STYLES => return None,
                    "xf" if is_used => uses.push(attribute(&element, "numFmtId").unwrap_or_default()),
                    _ => {}
                }
            }
            Event::End(element) if element.local_name().as_ref() == "cellXfs" => is_used = false,
            Event::Eof => break,
            _ => {}
        }
    }
    written_styles(&formats, &uses).ok()
}

/// An attribute of an element, as text; one that is longer than any spreadsheet allows counts as none.
fn attribute(element: &BytesStart<'_>, name: &str) -> Option<String> {
    let found = element.attributes().flatten().find(|attribute| attribute.key.as_ref() == name)?;
    let value = quick_xml::escape::unescape(&found.value).ok()?.into_owned();
    Some(value).filter(|value| value.len() <= limits::MAX_NUMBER_FORMAT_BYTES)
}

fn written_styles(formats: &[(String, String)], uses: &[String]) -> std::io::Result<Vec<u8>> {
    let mut writer = Writer::new(Vec::new());
    let mut write = |event: Event<'_>| writer.write_event(event);
    write(Event::Start(BytesStart::new("styleSheet")))?;
    write(Event::Start(BytesStart::new("numFmts")))?;
    for (id, code) in formats {
        let attributes = [("numFmtId", id.as_str()), ("formatCode", code.as_str())];
        write(Event::Empty(BytesStart::new("numFmt").with_attributes(attributes)))?;
    }
    write(Event::End(BytesEnd::new("numFmts")))?;
    write(Event::Start(BytesStart::new("cellXfs")))?;
    for id in uses {
        write(Event::Empty(BytesStart::new("xf").with_attributes([("numFmtId", id.as_str())])))?;
    }
    write(Event::End(BytesEnd::new("cellXfs")))?;
    write(Event::End(BytesEnd::new("styleSheet")))?;
    Ok(writer.into_inner())
}
