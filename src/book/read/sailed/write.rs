//! One more line at the end of the notes' file, in that file's own form; every byte that stands there stays. Knows which column
//! is which; whoever adds a line reads the file again before it is kept.

use super::line::{RANGE, reading};
use super::{BOUNDS, header};
use crate::book::model::{Control, NoteColumn, Units};
use crate::book::read::csv_table::{Cell, File};
use crate::book::read::form::Form;
use crate::book::read::heading;
use crate::wrong::{Wrong, shown};

/// Of a file that is started.
const LINE_BREAK: &str = "\n";

/// The text of a notes' file with one more note, given by column; a file without text starts with these columns.
///
/// # Errors
/// The file has no column for something that is to be noted.
pub fn with_line(
    text: &str,
    columns: &[NoteColumn],
    values: &[(NoteColumn, String)],
    controls: &[Control],
    units: &Units,
) -> Result<String, Wrong> {
    let (mut text, line_break) = (text.to_owned(), line_break(text));
    let delimiter = Form::of(&text).delimiter as char;
    let end_line = |text: &mut String| {
        if !text.is_empty() && !text.ends_with('\n') {
            text.push_str(line_break);
        }
    };
    if columns_of(&text, controls).is_empty() {
        let heading = |column: &NoteColumn| quoted(&column.heading(controls), delimiter, false);
        let headings: Vec<String> = columns.iter().map(heading).collect();
        end_line(&mut text);
        text.push_str(&headings.join(&delimiter.to_string()));
        text.push_str(line_break);
    }
    let (there, has_unit): (Vec<Option<NoteColumn>>, Vec<bool>) = columns_of(&text, controls).into_iter().unzip();
    let mut cells = vec![String::new(); there.len()];
    for (column, value) in values {
        for place in places(*column, &there, controls)? {
            if let (Some(cell), Some(stands)) = (cells.get_mut(place), there.get(place)) {
                *cell = on_its_side(*column, *stands, value, controls);
                if has_unit.get(place).copied().unwrap_or_default() {
                    *cell = in_its_unit(*column, std::mem::take(cell), units);
                }
            }
        }
    }
    let cells: Vec<String> = cells.iter().enumerate().map(|(nth, cell)| quoted(cell, delimiter, nth == 0)).collect();
    end_line(&mut text);
    text.push_str(&cells.join(&delimiter.to_string()));
    text.push_str(line_break);
    Ok(text)
}

/// What the columns of a file are, and whether a unit stands over them.
fn columns_of(text: &str, controls: &[Control]) -> Vec<(Option<NoteColumn>, bool)> {
    let file = File::of_text(text, BOUNDS);
    let mut columns = None;
    file.each_record(&mut Vec::new(), &mut |cells, problems| {
        columns.get_or_insert_with(|| {
            let found = header::columns(&file, &cells, controls, problems);
            let unit = |cell: &Cell| header::unit_over(&cell.text, controls).is_some();
            found.into_iter().zip(cells.iter().map(unit)).collect()
        });
    });
    columns.unwrap_or_default()
}

/// What is noted, with its unit where another may stand over the column.
fn in_its_unit(column: NoteColumn, value: String, units: &Units) -> String {
    let NoteColumn::Always(field) = column else { return value };
    let unit = header::bare_unit(field, units);
    unit.and_then(|unit| heading::with_unit(&value, unit.name)).unwrap_or(value)
}

/// Where in a line something stands: what was set on both sides, in the columns of both.
fn places(column: NoteColumn, there: &[Option<NoteColumn>], controls: &[Control]) -> Result<Vec<usize>, Wrong> {
    let of = |wanted: NoteColumn| there.iter().position(|column| *column == Some(wanted));
    if let Some(place) = of(column) {
        return Ok(vec![place]);
    }
    if let NoteColumn::Control(index, None) = column {
        let is_side =
            |column: &Option<NoteColumn>| matches!(column, Some(NoteColumn::Control(of, Some(_))) if *of == index);
        let sides: Vec<usize> = (0..there.len()).filter(|place| is_side(&there[*place])).collect();
        if !sides.is_empty() {
            return Ok(sides);
        }
    }
    let heading = column.heading(controls);
    Err(Wrong::new(
        format!("the notes have no column for {}", shown(&heading)),
        format!("write `{heading}` at the end of the first line of the file; lines without it stay as they are"),
    ))
}

/// What is noted once of both sides, as it is read on the side of the column that it goes into.
fn on_its_side(column: NoteColumn, stands: Option<NoteColumn>, value: &str, controls: &[Control]) -> String {
    let (NoteColumn::Control(index, None), Some(NoteColumn::Control(_, Some(side)))) = (column, stands) else {
        return value.to_owned();
    };
    let Some(control) = controls.get(index).filter(|control| control.differs()) else { return value.to_owned() };
    let Ok(Some(reading)) = reading(control, value) else { return value.to_owned() };
    let print = |reading: f64| control.scale.print(control.reading_on(side, reading));
    let (least, greatest) = (print(reading.least), print(reading.greatest));
    if least == greatest { least } else { format!("{least}{RANGE}{greatest}") }
}

/// The line break that a file has.
fn line_break(text: &str) -> &'static str {
    let first = text.split_inclusive('\n').next().unwrap_or_default();
    if first.ends_with("\r\n") { "\r\n" } else { LINE_BREAK }
}

/// A cell as it is written: in quotes where it would be read otherwise.
fn quoted(cell: &str, delimiter: char, is_first: bool) -> String {
    let misread = |letter: char| letter == delimiter || matches!(letter, '"' | '\n' | '\r');
    let is_plain = !cell.contains(misread) && cell.trim() == cell && !(is_first && cell.starts_with('#'));
    if is_plain { cell.to_owned() } else { format!("\"{}\"", cell.replace('"', "\"\"")) }
}
