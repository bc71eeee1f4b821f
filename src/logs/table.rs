//! A log that is a table: a head that names its columns, and a record in each line. Knows no sentence.

use std::borrow::Cow;

use super::columns::{Column, Columns, cells};
use super::gather::Gather;
use super::lines::Line;
use super::time::Reckoning;
use super::told::{Level, What};

/// What stands in a cell of which nothing is known.
const NOTHING: [&str; 10] = ["", "-", "--", "---", "~", "?", "nan", "null", "none", "n/a"];
/// Starts a line that is for people only.
const COMMENT: char = '#';

/// Reads the lines of a table, one by one.
pub struct Table {
    columns: Columns,
    head: String,
    reckoning: Reckoning,
    /// Whether a record was read: after that no line holds units.
    has_begun: bool,
}

impl Table {
    /// From the line that is its head, if it is one.
    pub fn new(line: &Line<'_>, reckoning: impl FnOnce() -> Reckoning) -> Option<Self> {
        let head = text(line.bytes);
        let columns = Columns::read(&head)?;
        let mut table = Table { columns, head: head.clone().into_owned(), reckoning: reckoning(), has_begun: false };
        if table.columns.is_utc {
            table.reckoning.is_utc();
        }
        Some(table)
    }

    /// One line more. `Err`: no line that follows can be read either.
    pub fn line(&mut self, line: &Line<'_>, gather: &mut Gather) -> Result<(), What> {
        let text = text(line.bytes);
        if text.trim().is_empty() || text.starts_with(COMMENT) || text == self.head {
            return Ok(());
        }
        let unquoted;
        let cells: Vec<&str> = if text.contains('"') {
            unquoted = without_quotes(&text, self.columns.delimiter);
            unquoted.iter().map(String::as_str).collect()
        } else {
            cells(&text, self.columns.delimiter)
        };
        if !std::mem::replace(&mut self.has_begun, true) {
            let are_units = self.columns.take_units(&cells);
            for what in self.columns.told.drain(..).collect::<Vec<_>>().into_iter().chain(self.columns.without_unit()) {
                gather.told.count(what, Some(line.number), 1);
            }
            if are_units {
                return Ok(());
            }
        }
        if !line.has_end {
            gather.told.add(What::CutOff, line.number);
            return Ok(());
        }
        self.record(&cells, line.number, gather)
    }

    fn record(&mut self, cells: &[&str], line: u64, gather: &mut Gather) -> Result<(), What> {
        let cell = |index: usize| cells.get(index).copied().unwrap_or_default();
        let date = self.columns.date.map(cell);
        let time = match self.reckoning.read(date, cell(self.columns.time), gather.now()) {
            Ok(time) => time,
            Err(what) if what.level() == Level::Error => return Err(what),
            Err(what) => {
                gather.told.add(what, line);
                return Ok(());
            }
        };
        if !gather.at(time, line) {
            return Ok(());
        }
        let decimal_comma = self.columns.delimiter != b',';
        let values: Vec<(&Column, &str)> = self
            .columns
            .used
            .iter()
            .map(|column| (column, cell(column.index)))
            .filter(|(_, cell)| says(cell))
            .collect();
        if values.iter().any(|(column, _)| gather.has(column.quantity)) {
            gather.told.add(What::Duplicate, line);
            return Ok(());
        }
        for (column, cell) in values {
            match number(cell, decimal_comma).map(|number| number * column.factor) {
                None => gather.told.add(What::NoNumber(column.name.clone()), line),
                Some(value) if !column.quantity.range().contains(&value) => {
                    gather.told.add(What::OutOfRange(column.name.clone()), line);
                }
                // A table gives one value for each time.
                Some(value) => _ = gather.put(column.quantity, value),
            }
        }
        Ok(())
    }
}

/// Bytes as text: UTF-8, or else as ISO 8859-1, in which every byte is a character.
pub fn text(bytes: &[u8]) -> Cow<'_, str> {
    let bytes = bytes.strip_prefix("\u{FEFF}".as_bytes()).unwrap_or(bytes);
    match std::str::from_utf8(bytes) {
        Ok(text) => Cow::Borrowed(text),
        Err(_) => Cow::Owned(bytes.iter().map(|byte| *byte as char).collect()),
    }
}

/// The cells of a line in which some stand in quotes.
fn without_quotes(line: &str, delimiter: u8) -> Vec<String> {
    let mut reader = csv::ReaderBuilder::new().has_headers(false).delimiter(delimiter).from_reader(line.as_bytes());
    let mut record = csv::StringRecord::new();
    // The line is in memory and text: there is nothing for the reader to fail at.
    let is_read = reader.read_record(&mut record).unwrap_or(false);
    if is_read { record.iter().map(|cell| cell.trim().to_owned()).collect() } else { Vec::new() }
}

fn says(cell: &str) -> bool {
    !NOTHING.iter().any(|nothing| cell.eq_ignore_ascii_case(nothing))
}

/// A number as instruments and spreadsheets write it; endless ones are none.
fn number(cell: &str, decimal_comma: bool) -> Option<f64> {
    let plain = cell.trim_end_matches('°');
    let plain =
        if decimal_comma && plain.contains(',') { Cow::Owned(plain.replacen(',', ".", 1)) } else { plain.into() };
    let plain = if plain.starts_with('−') { Cow::Owned(plain.replacen('−', "-", 1)) } else { plain };
    plain.parse::<f64>().ok().filter(|number| number.is_finite())
}
