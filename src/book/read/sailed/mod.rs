//! The notes of what was sailed: a CSV file that grows line by line, on deck or in a spreadsheet. Knows the form of the file
//! and what its cells mean in this book; what can be concluded from them, it does not know.

mod header;
mod line;
mod time;
mod write;

pub use header::column;
pub use line::{on_both_sides, reading};
pub use write::with_line;

use jiff::tz::TimeZone;

use super::csv_table::{Bounds, File};
use super::start_of;
use super::tables::{self, Tables};
use crate::book::model::{Control, PointsOfSail, Sail, Sailed, Settings, Spanned, Units, Watches};
use crate::book::problem::{Level, Problem};
use crate::book::table::Table;
use crate::book::tree::Node;
use crate::book::words::{self, Names};
use crate::disk::open::Found;
use crate::limits;
use crate::season::Note;
use crate::tuning::watches::time_zone;
use crate::wrong::shown;

/// What notes can refer to.
pub struct Known<'a> {
    pub units: Units,
    pub controls: &'a [Control],
    pub settings: &'a [Settings],
    pub sails: &'a [Sail],
    pub control_names: &'a Names,
    pub settings_names: &'a Names,
    pub points_of_sail: &'a PointsOfSail,
    pub watches: Option<&'a Watches>,
    /// Whether the book does not even try to say who is on watch.
    pub no_watches: bool,
}

/// Two columns a control, and those that every file can have: more cells than that nobody has a use for.
const BOUNDS: Bounds = Bounds { rows: limits::MAX_NOTES, cells: 2 * limits::MAX_DECLARED };

/// `{file: sailed.csv, time_zone: Europe/London}`.
pub fn sailed(node: &Node, known: &Known<'_>, tables: &mut Tables<'_>, problems: &mut Vec<Problem>) -> Option<Sailed> {
    let mut fields = Table::open(node, "`sailed`", problems)?;
    fields.place = start_of(node);
    let file = fields.need("file", "file: sailed.csv", problems);
    let file = file.and_then(|node| words::words(node, "the file of `sailed`", problems));
    let named = fields.take("time_zone");
    fields.finish(problems);
    let (name, zone) = match named {
        Some(node) => zone(node, problems)?,
        None => zone_of_watches(node, known, problems)?,
    };
    let file = file?;
    let notes = notes(&file, &zone, known, tables, problems);
    Some(Sailed { file, time_zone: name, clock: zone, notes, place: node.place.clone() })
}

fn zone(node: &Node, problems: &mut Vec<Problem>) -> Option<(String, TimeZone)> {
    let name = words::words(node, "the time zone of `sailed`", problems)?.value;
    match time_zone(&name) {
        Ok(zone) => Some((name, zone)),
        Err(error) => {
            problems.push(Problem::error(node.place.clone(), error.what(), error.instead()));
            None
        }
    }
}

fn zone_of_watches(node: &Node, known: &Known<'_>, problems: &mut Vec<Problem>) -> Option<(String, TimeZone)> {
    if known.no_watches {
        problems.push(Problem::error(
            start_of(node),
            "nothing says which clock the notes go by: `sailed` has no time zone, and the book no `watches`",
            "write it like `time_zone: Europe/London`",
        ));
    }
    let watches = known.watches?;
    Some((watches.time_zone.clone(), watches.race.start().time_zone().clone()))
}

/// The notes of the file, as far as they can be read.
fn notes(
    name: &Spanned<String>,
    zone: &TimeZone,
    known: &Known<'_>,
    tables: &mut Tables<'_>,
    problems: &mut Vec<Problem>,
) -> Vec<Note> {
    let text = match tables.find(name, problems) {
        Some(Found::File(text)) => text,
        // A boat that starts to write down what she sails has none yet, and a card without the file is a card still.
        Some(Found::Missing) => {
            problems.push(Problem::warning(
                name.place.clone(),
                format!("there is no file {}: no notes are counted", shown(&name.value)),
                "`cockpit-cards sailed add` starts it; if there is one, correct its name",
            ));
            return Vec::new();
        }
        Some(Found::TooLarge) => {
            let alone = || format!("the notes are larger than {} MB", limits::MAX_FILE_BYTES / 1_000_000);
            let what = tables.too_many_bytes().unwrap_or_else(alone);
            problems.push(Problem::error(name.place.clone(), what, "begin a new file, and keep the old one"));
            return Vec::new();
        }
        Some(Found::NoFile(what)) => {
            let (what, instead) = tables::no_file(&what);
            problems.push(Problem::error(name.place.clone(), format!("{what}: {}", shown(&name.value)), instead));
            return Vec::new();
        }
        None => return Vec::new(),
    };
    let file = File::of(&text, tables.printable(), BOUNDS);
    if text.is_sound { file.notes(zone, known, problems) } else { Vec::new() }
}

impl File<'_> {
    fn notes(&self, zone: &TimeZone, known: &Known<'_>, problems: &mut Vec<Problem>) -> Vec<Note> {
        let mut columns = None;
        let mut units = Vec::new();
        let mut notes = Vec::new();
        let mut newlines = Newlines::default();
        let mut lines_read = 0;
        self.each_record(problems, &mut |cells, problems| {
            let Some(columns) = &columns else {
                let mut told = Vec::new();
                let found = header::columns(self, &cells, known.controls, &mut told);
                units = header::units(self, &cells, &found, known, &mut told);
                columns = Some(found);
                // A column may be that of a control that could not be read, which has had its complaint.
                let is_sure = |problem: &Problem| problem.level == Level::Error || !known.control_names.have_lost_any();
                problems.extend(told.into_iter().filter(is_sure));
                return;
            };
            lines_read += 1;
            let at = cells.first().map_or(0, |cell| cell.bytes.start);
            let reader = line::Line { file: self, columns, units: &units, zone, known };
            notes.extend(reader.read(&cells, newlines.line_of(self.text, at), problems));
        });
        if columns.is_none() {
            problems.push(Problem::error(
                self.place(0..0),
                "the file of the notes is empty",
                "start it with `when, settings, wind` and the controls, or take it away: `cockpit-cards sailed add` starts one",
            ));
        }
        if lines_read > limits::MAX_NOTES {
            problems.push(Problem::error(
                self.place(0..0),
                format!("there are more than {} notes", limits::MAX_NOTES),
                "begin a new file, and keep the old one",
            ));
        }
        notes
    }
}

/// Which line a byte is on, for bytes that are asked for in rising order.
#[derive(Default)]
struct Newlines {
    counted_to: usize,
    lines: usize,
}

impl Newlines {
    fn line_of(&mut self, text: &str, at: usize) -> usize {
        let between = text.as_bytes().get(self.counted_to..at).unwrap_or_default();
        self.lines += between.iter().filter(|byte| **byte == b'\n').count();
        self.counted_to = at.max(self.counted_to);
        self.lines + 1
    }
}
