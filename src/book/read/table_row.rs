//! Readings put into one row of a table in its CSV file; a row that is not there is put in at its wind. Knows the form of the file;
//! whoever changes one reads the book again before it is kept.

use super::csv_table::{Bounds, Cell, File};
use super::heading;
use crate::book::edit::Reading;
use crate::book::model::Units;
use crate::book::quantity::{self, Dimension};
use crate::limits;
use crate::tuning::{Angle, Axis as _, Side, Wind};

/// What is to stand in a row.
pub struct Row<'a> {
    /// Its wind, and its angle in a table that is kept by angle.
    pub wind: Wind,
    pub angle: Option<Angle>,
    pub units: &'a Units,
    /// The same as a new row has them.
    pub wind_cell: String,
    pub angle_cell: Option<String>,
    pub readings: &'a [Reading],
}

/// The text with the row changed or put in; `None` if that cannot be done without touching anything else.
pub fn changed(text: &str, row: &Row<'_>) -> Option<String> {
    let file = File::of_text(text, Bounds::TABLE);
    let delimiter = file.form.delimiter;
    let records = file.records(&mut Vec::new());
    let (header, rows) = records.split_first()?;
    let cells: Vec<Vec<(usize, &str, &str)>> =
        row.readings.iter().map(|reading| cells_of(header, reading)).collect::<Option<_>>()?;
    let cells = cells.concat();
    let wind_unit = heading::split(&header.first()?.text).1;
    let place_of = |cells: &Vec<Cell>| row.place_of(&file, wind_unit, cells);
    let places: Vec<(Option<Wind>, Option<Angle>)> = rows.iter().map(place_of).collect();
    let is_it = |(wind, angle): &(Option<Wind>, Option<Angle>)| {
        let is_angle = row.angle.is_none_or(|own| angle.is_some_and(|angle| own.compare(angle).is_eq()));
        wind.is_some_and(|wind| wind.is_at(row.wind)) && is_angle
    };
    let mut wanted: Vec<Vec<String>> = records.iter().map(|cells| texts(cells)).collect();
    let new = match places.iter().position(is_it) {
        Some(at) => {
            let mut new = text.to_owned();
            let mut edits = Vec::new();
            for (column, full, bare) in &cells {
                let cell = rows[at].get(*column)?;
                let reading = if cell.text.ends_with(char::is_alphabetic) { full } else { bare };
                let reading = file.form.with_its_points(reading);
                *wanted.get_mut(at + 1)?.get_mut(*column)? = reading.clone();
                edits.push((cell.bytes.clone(), reading));
            }
            edits.sort_by_key(|(bytes, _)| std::cmp::Reverse(bytes.start));
            edits.into_iter().for_each(|(bytes, reading)| new.replace_range(bytes, &reading));
            new
        }
        None => {
            let is_before = |(wind, angle): &&(Option<Wind>, Option<Angle>)| {
                wind.is_some_and(|wind| (wind, *angle) < (row.wind, row.angle))
            };
            let before = places.iter().take_while(is_before).count();
            let cells = row.cells_of_new(header.len(), wind_unit.is_some(), &cells);
            let cells: Vec<String> = cells.iter().map(|cell| file.form.with_its_points(cell)).collect();
            wanted.insert(before + 1, cells.clone());
            let last = records.get(before)?.last()?;
            let end = text[last.bytes.end..].find('\n').map_or(text.len(), |newline| last.bytes.end + newline);
            let end = if text[..end].ends_with('\r') && end < text.len() { end - 1 } else { end };
            let line_break = if text.contains("\r\n") { "\r\n" } else { "\n" };
            let gap = if has_gaps(text.get(header.first()?.bytes.start..)?, delimiter) { " " } else { "" };
            let line = cells.join(&format!("{}{gap}", delimiter as char));
            format!("{}{line_break}{}{}", &text[..end], line.trim_end(), &text[end..])
        }
    };
    let file = File::of_text(&new, Bounds::TABLE);
    let found: Vec<Vec<String>> = file.records(&mut Vec::new()).iter().map(|cells| texts(cells)).collect();
    (found == wanted).then_some(new)
}

impl Row<'_> {
    /// The wind and the angle of a row that is there.
    fn place_of(&self, file: &File<'_>, wind_unit: Option<&str>, cells: &[Cell]) -> (Option<Wind>, Option<Angle>) {
        let ignored = &mut Vec::new();
        let wind = cells.first().and_then(|cell| {
            quantity::wind(&file.quantity(cell, wind_unit), self.units, "a wind", &limits::WIND_KN, ignored)
        });
        let angle = cells.get(1).filter(|_| self.angle.is_some()).and_then(|cell| {
            quantity::wind_angle(&file.quantity(cell, None), "an angle", &limits::WIND_ANGLE_DEG, ignored)
        });
        (wind, angle)
    }

    fn cells_of_new(&self, width: usize, has_wind_unit: bool, readings: &[(usize, &str, &str)]) -> Vec<String> {
        let mut cells = vec![String::new(); width];
        let named = readings.iter().map(|(column, _, bare)| (*column, (*bare).to_owned()));
        let angle = self.angle_cell.iter().map(|angle| (1, angle.clone()));
        // The unit that stands over the winds may be another than the book's.
        let unit = if has_wind_unit { format!(" {}", self.units.bare(Dimension::Speed).name) } else { String::new() };
        let wind = format!("{}{unit}", self.wind_cell);
        for (at, text) in std::iter::once((0, wind)).chain(angle).chain(named) {
            if let Some(cell) = cells.get_mut(at) {
                *cell = text;
            }
        }
        cells
    }
}

fn texts(cells: &[Cell]) -> Vec<String> {
    cells.iter().map(|cell| cell.text.clone()).collect()
}

/// The cells that a reading goes into, with and without its unit: the control's own, or one for each side.
fn cells_of<'a>(header: &[Cell], reading: &'a Reading) -> Option<Vec<(usize, &'a str, &'a str)>> {
    // The first column is the winds, even where a control is called that.
    let is_it = |name: &str| heading::plain(name) == heading::plain(&reading.control);
    let names_it = |cell: &Cell| is_it(heading::split(&cell.text).0);
    let column = || header.iter().skip(1).position(names_it).map(|at| at + 1);
    if let Some(one) = column() {
        // One cell has no room for two readings.
        return (!reading.bare.starts_with('{')).then(|| vec![(one, reading.full.as_str(), reading.bare.as_str())]);
    }
    let of_side = |side: Side| {
        let is_it = |cell: &Cell| {
            let parts = heading::split(&cell.text).0.rsplit_once(' ');
            parts.is_some_and(|(name, word)| is_it(name) && word.eq_ignore_ascii_case(side.name()))
        };
        header.iter().position(is_it)
    };
    let [port, starboard] = Side::BOTH.map(of_side);
    let [on_port, on_starboard] = reading.sides.each_ref().map(String::as_str);
    Some(vec![(port?, on_port, on_port), (starboard?, on_starboard, on_starboard)])
}

/// Whether a gap follows what parts the cells of the first of these lines.
fn has_gaps(lines: &str, delimiter: u8) -> bool {
    lines.lines().next().is_some_and(|line| line.contains(&format!("{} ", delimiter as char)))
}
