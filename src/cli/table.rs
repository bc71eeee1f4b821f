//! `table`: the rows of some settings as a table of a spreadsheet, which the book can name in their place.

use std::io;
use std::path::PathBuf;

use clap::Args;
use cockpit_cards::book::as_table::{self, Entry, Grid};
use cockpit_cards::disk::place::Place;
use cockpit_cards::output::workbook::{Cell, workbook};

use super::chosen::{Usage, as_typed, named_or_here};
use super::in_place::sound;
use super::telling::say_done;
use super::{Outcome, complain, machine_failed, number_of, open, refuse};

const USAGE: Usage = Usage { before: "table SETTINGS", after: " -o j1.xlsx", has_example: false };
const SOUND_FIRST: &str = "a table is made of a sound book: correct what is listed above";
/// Ends a line of a CSV file (RFC 4180).
const LINE_BREAK: &str = "\r\n";
/// What a spreadsheet takes for the start of a formula.
const FORMULA: [char; 4] = ['=', '+', '-', '@'];

#[derive(Args)]
pub struct Table {
    /// The id of the settings
    settings: String,
    /// The book; the one in this folder if none is named
    #[arg(value_name = "BOOK")]
    book: Option<PathBuf>,
    /// The file to write: .xlsx or .csv. One that is there already stays as it is
    #[arg(short, long, value_name = "FILE")]
    output: PathBuf,
}

impl Table {
    pub fn run(self) -> Result<Outcome, Outcome> {
        let path = named_or_here(self.book.as_deref(), USAGE)?;
        let opened = open(&path)?;
        let name = opened.name.clone();
        let sources = opened.loaded.sources.clone();
        let (book, mut problems) = sound(opened.loaded, &name, SOUND_FIRST)?;
        complain(&mut problems, &sources);
        let grid = as_table::grid(&book, &self.settings).map_err(|wrong| refuse(&wrong.what, &wrong.instead))?;
        let bytes = self.bytes(&grid)?;
        let file = as_typed(&self.output.display().to_string());
        match Place::start(&self.output, &bytes) {
            Ok(()) => {}
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {
                let what = format!("{} is there already", self.output.display());
                return Err(refuse(&what, "name another file, or take that one away first"));
            }
            Err(error) => return Err(machine_failed("nothing was written", &error)),
        }
        let named = self.output.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let rows = number_of(grid.len() - 1, "row");
        Ok(say_done(&format!(
            "{}\n\nwrote {file}: {rows} of {}\nIn the book, in the place of `controls` and `at` of {}: table: {named}\n",
            book.boat.name.value, self.settings, self.settings
        )))
    }

    fn bytes(&self, grid: &Grid) -> Result<Vec<u8>, Outcome> {
        let ending = self.output.extension().and_then(|ending| ending.to_str()).map(str::to_ascii_lowercase);
        match ending.as_deref() {
            Some("xlsx") => {
                let cell = |entry| match entry {
                    &Entry::Empty => Cell::Empty,
                    &Entry::Number(number) => Cell::Number(number),
                    Entry::Text(text) => Cell::Text(text),
                };
                let rows: Vec<Vec<Cell<'_>>> = grid.iter().map(|row| row.iter().map(cell).collect()).collect();
                workbook(&self.settings, &rows)
                    .map_err(|error| machine_failed("the workbook could not be made", &error))
            }
            Some("csv") => csv(grid).map(String::into_bytes),
            _ => Err(refuse(
                &format!("-o {}: no kind of table this program writes", self.output.display()),
                "end its name in .xlsx or .csv",
            )),
        }
    }
}

/// As RFC 4180 has it. A byte-order mark tells a spreadsheet in which letters the file is written.
fn csv(grid: &Grid) -> Result<String, Outcome> {
    let mut text = String::new();
    if grid.iter().flatten().any(|entry| !entry.text().is_ascii()) {
        text.push('\u{FEFF}');
    }
    for row in grid {
        let cells: Result<Vec<String>, Outcome> = row.iter().map(csv_cell).collect();
        text.push_str(&cells?.join(","));
        text.push_str(LINE_BREAK);
    }
    Ok(text)
}

fn csv_cell(entry: &Entry) -> Result<String, Outcome> {
    let cell = entry.text();
    if matches!(entry, Entry::Text(text) if text.starts_with(FORMULA)) {
        let what = format!("a spreadsheet would take `{cell}` in a CSV file for a formula");
        return Err(refuse(&what, "write the table as .xlsx"));
    }
    let is_plain = !cell.contains([',', '"', '\r', '\n']) && cell.trim() == cell && !cell.starts_with('#');
    Ok(if is_plain { cell } else { format!("\"{}\"", cell.replace('"', "\"\"")) })
}
