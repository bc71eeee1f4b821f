//! The notes' file as the commands that write it see it: what a heading means, whether a reading can be noted, and the file with
//! one more line. Opens no file.

use super::model::{Control, NoteColumn, Sections};
use super::read::{sailed, tables};
use crate::season::{Noted, Reading};
use crate::wrong::{Wrong, shown};

/// What a heading, or a name on the command line, means: `jib_lead`, `Jib lead port`.
pub fn column(heading: &str, controls: &[Control]) -> Option<NoteColumn> {
    sailed::column(heading, controls)
}

/// A reading as it is noted, `4½` or `4..5`; `None` if the control was not used.
///
/// # Errors
/// It is no reading of the control's scale.
pub fn reading(control: &Control, text: &str) -> Result<Option<Reading>, Wrong> {
    sailed::reading(control, text)
}

/// What is noted once of both sides, where those may read differently at the same place.
pub fn on_both_sides(control: &Control, reading: Reading) -> Noted {
    sailed::on_both_sides(control, reading)
}

/// The text of a notes' file with one more note at its end; of a file without text, with the columns of this boat first.
/// Every byte that stands there stays.
///
/// # Errors
/// The file has no column for something that is to be noted.
pub fn with_line(text: &str, values: &[(NoteColumn, String)], book: &Sections) -> Result<String, Wrong> {
    sailed::with_line(text, &book.note_columns(), values, &book.controls, &book.units)
}

/// Looks whether a line can be put into a file that a book names: into a CSV file, and not into a workbook.
///
/// # Errors
/// It is a workbook.
pub fn check_is_text(file: &str) -> Result<(), Wrong> {
    match tables::is_workbook(file) {
        false => Ok(()),
        true => Err(Wrong::new(
            format!("{} is a workbook: nothing is written into it but by a spreadsheet", shown(file)),
            "write it there by hand; or save the sheet as CSV, and name that in the book",
        )),
    }
}
