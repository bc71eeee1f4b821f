//! One line of the notes' file: from its cells to a note. Knows what each column is; draws no conclusion.

use std::collections::BTreeSet;

use jiff::Timestamp;
use jiff::tz::TimeZone;

use super::super::recorded::says_not_used;
use super::{Known, time};
use crate::book::model::{Control, NoteColumn, NoteField, Settings};
use crate::book::problem::Problem;
use crate::book::quantity;
use crate::book::read::csv_table::{Cell, File};
use crate::book::read::watches::count;
use crate::book::suggest;
use crate::book::tree::{Node, Value};
use crate::book::words::{self, Reference};
use crate::limits;
use crate::season::{Found, Note, Noted, Reading, Verdict};
use crate::tuning::{Angle, Side};
use crate::wrong::{Wrong, shown};

const VERDICTS: [(&str, Verdict); 3] = [("fast", Verdict::Fast), ("ok", Verdict::Ok), ("slow", Verdict::Slow)];
const FOUND: [(&str, Found); 2] = [("keep", Found::Keep), ("change", Found::Change)];
/// Between the ends of a range that a control was played over.
pub const RANGE: &str = "..";

/// What a line is read with.
pub struct Line<'a> {
    pub file: &'a File<'a>,
    pub columns: &'a [Option<NoteColumn>],
    pub zone: &'a TimeZone,
    pub known: &'a Known<'a>,
    /// The unit that stands over each column, if there is one.
    pub units: &'a [Option<String>],
}

impl Line<'_> {
    /// The note, if enough of it can be read to be one; whatever cannot is told.
    pub fn read(&self, cells: &[Cell], line: usize, problems: &mut Vec<Problem>) -> Option<Note> {
        let when = self.moment(cells, NoteField::When, None, problems);
        let until = self.moment(cells, NoteField::Until, when, problems);
        if let (Some(when), Some(until)) = (when, until)
            && until <= when
        {
            let place = self.cell(cells, NoteField::Until).map(|cell| self.file.place(cell.bytes.clone()));
            problems.push(Problem::error(place, "this note ends before it begins", "correct `when` or `until`"));
        }
        let wind = self.number(cells, NoteField::Wind).and_then(|node| {
            quantity::wind(&node, &self.known.units, "the wind of a note", &limits::WIND_KN, problems)
        });
        let angle = self.number(cells, NoteField::Angle);
        let angle = angle
            .and_then(|node| quantity::wind_angle(&node, "the angle of a note", &limits::WIND_ANGLE_DEG, problems));
        let speed = self.number(cells, NoteField::Speed);
        let speed =
            speed.and_then(|node| quantity::boat_speed(&node, "the speed of a note", &limits::BOAT_SPEED_KN, problems));
        let below = self.node(cells, NoteField::Below);
        let below = below.and_then(|node| count(&node, "the number below", 0..=limits::MAX_CREW, problems));
        let text = |field| self.cell(cells, field).map(|cell| cell.text.clone());
        let verdict = self.word(cells, NoteField::Verdict, "how it went", &VERDICTS, problems);
        let found = self.word(cells, NoteField::Found, "what was found", &FOUND, problems);
        let readings = self.readings(cells, problems);
        let settings = self.settings(cells, angle, problems)?;
        Some(Note {
            line,
            when,
            until,
            settings,
            wind,
            angle,
            sea: text(NoteField::Sea),
            below,
            helm: text(NoteField::Helm),
            trial: text(NoteField::Trial),
            readings,
            speed,
            verdict,
            who: text(NoteField::Who),
            remark: text(NoteField::Remark),
            found,
        })
    }

    /// The cell of a column, if the line has it and something was noted in it.
    fn cell<'b>(&self, cells: &'b [Cell], field: NoteField) -> Option<&'b Cell> {
        let position = self.columns.iter().position(|column| *column == Some(NoteColumn::Always(field)))?;
        cells.get(position).filter(|cell| is_noted(cell))
    }

    fn node(&self, cells: &[Cell], field: NoteField) -> Option<Node> {
        self.cell(cells, field).map(|cell| self.file.node(cell))
    }

    /// The same where a number stands in it.
    fn number(&self, cells: &[Cell], field: NoteField) -> Option<Node> {
        let position = self.columns.iter().position(|column| *column == Some(NoteColumn::Always(field)))?;
        let unit = self.units.get(position).and_then(Option::as_deref);
        Some(self.file.quantity(self.cell(cells, field)?, unit))
    }

    fn moment(
        &self,
        cells: &[Cell],
        field: NoteField,
        from: Option<Timestamp>,
        problems: &mut Vec<Problem>,
    ) -> Option<Timestamp> {
        let cell = self.cell(cells, field)?;
        let read = match field {
            NoteField::Until => time::end(&cell.text, from, self.zone),
            _ => time::moment(&cell.text, self.zone),
        };
        self.or_told(read.map_err(|wrong| wrong.about(&format!("`{}` of a note", field.heading()))), cell, problems)
    }

    fn word<T: Copy>(
        &self,
        cells: &[Cell],
        field: NoteField,
        what: &str,
        choices: &[(&str, T)],
        problems: &mut Vec<Problem>,
    ) -> Option<T> {
        let cell = self.cell(cells, field)?;
        let value = Value::Text { text: cell.text.to_lowercase(), plain: true };
        words::choice(&Node { place: self.file.place(cell.bytes.clone()), value }, what, choices, problems)
    }

    /// The settings that a line is for: by their id, or by the sails that were up.
    fn settings(&self, cells: &[Cell], angle: Option<Angle>, problems: &mut Vec<Problem>) -> Option<String> {
        let Some(cell) = self.cell(cells, NoteField::Settings) else {
            let place = cells.first().map(|cell| self.file.place(cell.bytes.clone()));
            let known = self.known.settings_names.a_few();
            problems.push(Problem::error(
                place,
                "this note does not say which settings it is for",
                format!("write their id under `settings`, such as {known}, or start the line with `#`"),
            ));
            return None;
        };
        // Those that a sail took over from another are in no list of the book.
        if self.known.settings.iter().any(|settings| settings.id.value == cell.text) {
            return Some(cell.text.clone());
        }
        let names = self.known.settings_names;
        if names.may_have(&cell.text) {
            return match names.find(&cell.text, &self.file.place(cell.bytes.clone()), problems)? {
                Reference::To(_) => Some(cell.text.clone()),
                Reference::Broken => None,
            };
        }
        let found = self.by_sails(&cell.text, angle);
        let instead = match found.as_slice() {
            [only] => return Some(only.id.value.clone()),
            [] if names.have_lost_any() => return None,
            [] => {
                let ids = self.known.settings.iter().map(|settings| settings.id.value.as_str());
                match suggest::nearest(&cell.text, ids.clone()) {
                    Some(id) => format!("did you mean `{id}`?"),
                    None => format!("{}; a line that starts with `#` is for people only", suggest::one_of(ids)),
                }
            }
            several => {
                let ids = several.iter().map(|settings| settings.id.value.as_str());
                format!("these sails have several: {}, or note the angle", suggest::one_of(ids))
            }
        };
        let what = format!("there are no settings {}", shown(&cell.text));
        problems.push(Problem::error(self.file.place(cell.bytes.clone()), what, instead));
        None
    }

    /// The settings of just these sails, named by id or printed name with `+` between them, that hold the angle if there is
    /// one.
    fn by_sails(&self, text: &str, angle: Option<Angle>) -> Vec<&Settings> {
        let id = |name: &str| {
            let is_it = |other: &str| other.eq_ignore_ascii_case(name);
            let sail = self.known.sails.iter().find(|sail| is_it(&sail.id.value) || is_it(&sail.name));
            sail.map(|sail| sail.id.value.as_str())
        };
        let Some(sails) = text.split('+').map(|name| id(name.trim())).collect::<Option<BTreeSet<&str>>>() else {
            return Vec::new();
        };
        let has_them = |settings: &&Settings| {
            settings.sails.iter().map(|sail| sail.value.as_str()).collect::<BTreeSet<&str>>() == sails
        };
        let holds = |settings: &&Settings| {
            angle.is_none_or(|angle| settings.are_for(self.known.points_of_sail.at(angle), self.known.points_of_sail))
        };
        self.known.settings.iter().filter(has_them).filter(holds).collect()
    }

    /// What was set, control by control in the order of the columns.
    fn readings(&self, cells: &[Cell], problems: &mut Vec<Problem>) -> Vec<(String, Noted)> {
        let mut readings: Vec<(String, Noted)> = Vec::new();
        for (column, cell) in self.columns.iter().zip(cells) {
            let Some(NoteColumn::Control(index, side)) = column else { continue };
            let Some(control) = self.known.controls.get(*index).filter(|_| is_noted(cell)) else { continue };
            let read = reading(control, &self.file.form.with_points(&cell.text))
                .map_err(|wrong| wrong.about(&format!("\"{}\"", control.name)));
            let Some(reading) = self.or_told(read, cell, problems) else { continue };
            let earlier = readings.iter_mut().find(|(id, _)| *id == control.id.value);
            match (reading, side, earlier) {
                (None, _, Some((_, noted))) => *noted = Noted::NotUsed,
                (None, _, None) => readings.push((control.id.value.clone(), Noted::NotUsed)),
                (Some(reading), None, _) => readings.push((control.id.value.clone(), on_both_sides(control, reading))),
                (Some(reading), Some(side), Some((_, noted))) => *noted = with_side(*noted, *side, reading),
                (Some(reading), Some(side), None) => {
                    let none = Noted::Sides { port: None, starboard: None };
                    readings.push((control.id.value.clone(), with_side(none, *side, reading)));
                }
            }
        }
        readings
    }

    fn or_told<T>(&self, read: Result<T, Wrong>, cell: &Cell, problems: &mut Vec<Problem>) -> Option<T> {
        read.map_err(|wrong| problems.push(wrong.at(&self.file.place(cell.bytes.clone())))).ok()
    }
}

/// One reading as it is noted, or the range that the control was played over; `None` if it was not used.
///
/// # Errors
/// It is no reading of the control's scale.
pub fn reading(control: &Control, text: &str) -> Result<Option<Reading>, Wrong> {
    if says_not_used(text) {
        return Ok(None);
    }
    if matches!(text, "-" | "–" | "—") {
        let what = format!("{} may mean not noted or not used", shown(text));
        return Err(Wrong::new(what, "leave it empty for not noted, write `none` for not used"));
    }
    let one = |text: &str| control.scale.parse(text);
    let (first, last) = match text.split_once(RANGE) {
        Some((first, last)) => (one(first)?, one(last)?),
        None => {
            let reading = one(text)?;
            (reading, reading)
        }
    };
    Ok(Some(Reading { least: first.min(last), greatest: first.max(last) }))
}

/// What was noted once of both sides: where they read differently at the same place, it is the port side's.
pub fn on_both_sides(control: &Control, reading: Reading) -> Noted {
    if !control.differs() {
        return Noted::One(reading);
    }
    let on = |side: Side| {
        let on_side = |reading: f64| control.reading_on(side, reading);
        Some(Reading { least: on_side(reading.least), greatest: on_side(reading.greatest) })
    };
    Noted::Sides { port: on(Side::Port), starboard: on(Side::Starboard) }
}

/// A note with what was set on one more side.
fn with_side(noted: Noted, side: Side, reading: Reading) -> Noted {
    let Noted::Sides { port, starboard } = noted else { return noted };
    match side {
        Side::Port => Noted::Sides { port: Some(reading), starboard },
        Side::Starboard => Noted::Sides { port, starboard: Some(reading) },
    }
}

fn is_noted(cell: &Cell) -> bool {
    !matches!(cell.text.as_str(), "" | "~")
}
