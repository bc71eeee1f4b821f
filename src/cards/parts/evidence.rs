//! What the notes of what was sailed make of the readings in a table of settings: the ground that each stands on, and what a
//! disputed one is disputed between. A note never moves a reading. Draws nothing.

use jiff::Timestamp;

use super::words::bare_words;
use crate::book::{Book, Control, Recorded, Sailed, ScaleKind, Settings, Spanned, date, notes};
use crate::season::evidence::{Asked, Evidence, class, is_sailed};
use crate::season::{Note, Noted, Reading, Row, row_of};
use crate::tuning::{Angle, Axis, Ground, Scale, Wind};

/// The notes as they bear on one table of settings.
pub struct OfNotes<'a> {
    book: &'a Book,
    settings: &'a Settings,
    sailed: &'a Sailed,
    /// In the order of the table.
    rows: Vec<Row>,
    /// For each of them the notes that are of it: twenty seasons of notes are not gone through for every reading.
    of_row: Vec<Vec<&'a Note>>,
}

impl<'a> OfNotes<'a> {
    /// `None` if no note is of these settings.
    pub fn on(book: &'a Book, settings: &'a Settings) -> Option<Self> {
        let sailed = book.sailed.as_ref()?;
        let own = || sailed.notes.iter().filter(|note| note.settings == settings.id.value);
        own().next()?;
        let rows = rows(settings);
        let mut of_row: Vec<Vec<&Note>> = vec![Vec::new(); rows.len()];
        for note in own() {
            let row = note.wind.and_then(|wind| row_of(&rows, wind, note.angle));
            if let Some(of_row) = row.and_then(|row| of_row.get_mut(row)) {
                of_row.push(note);
            }
        }
        Some(OfNotes { book, settings, sailed, rows, of_row })
    }

    /// The ground of what one row has of one control, by its index in the book: what the notes say of it, or else what
    /// the book does. What was carried over from another sail has been sailed once a note found it fast or ok.
    pub fn ground(&self, control: usize, row: usize, in_book: Ground) -> Ground {
        let Some(asked) = self.asked(control, row) else { return in_book };
        match class(&asked, self.of_row(row), &self.sailed.clock) {
            Evidence::Proven => Ground::Proven,
            Evidence::Repeated => Ground::Repeated,
            Evidence::Disputed(..) => Ground::Disputed,
            Evidence::None if is_sailed(&asked, self.of_row(row)) => Ground::Sailed,
            Evidence::None => in_book,
        }
    }

    /// Both readings that a known one is disputed between, as [`disputed`] has them.
    pub fn disputed(&self, control: &str, (wind, angle): (Wind, Option<Angle>)) -> Option<[String; 2]> {
        let is_at = |row: &Row| row.wind.is_at(wind) && (row.angle.is_none() || row.angle == angle);
        let row = self.rows.iter().position(is_at)?;
        let index = self.book.controls.iter().position(|known| known.id.value == control)?;
        match class(&self.asked(index, row)?, self.of_row(row), &self.sailed.clock) {
            Evidence::Disputed(one, other) => {
                let scale = &self.book.controls.get(index)?.scale;
                Some([one, other].map(|noted| noted_words(scale, noted)))
            }
            _ => None,
        }
    }

    /// The notes that are of a row, in their order.
    fn of_row(&self, row: usize) -> impl Iterator<Item = &'a Note> + '_ {
        self.of_row.get(row).into_iter().flatten().copied()
    }

    fn asked(&self, control: usize, row: usize) -> Option<Asked<'_>> {
        let position = self.settings.controls.iter().position(|index| *index == control)?;
        let recorded = self.settings.all_rows().nth(row)?.readings.get(position)?;
        let control = self.book.controls.get(control)?;
        // Half a word is no setting: of words and tapes another is more than a mark away.
        let mark = if control.scale.has_only_names() { 0.0 } else { control.scale.whole_mark() };
        Some(Asked {
            settings: &self.settings.id.value,
            control: &control.id.value,
            rows: &self.rows,
            row,
            reading: noted(control, recorded)?,
            mark,
            measured: measured(control, self.sailed),
        })
    }
}

/// What a row has of a control, as a note would have it; `None` where nothing is recorded.
pub fn noted(control: &Control, recorded: &Recorded) -> Option<Noted> {
    let still = |reading: &Spanned<f64>| Reading { least: reading.value, greatest: reading.value };
    match recorded {
        Recorded::Not => None,
        Recorded::NotUsed(_) => Some(Noted::NotUsed),
        Recorded::One(reading) => Some(notes::on_both_sides(control, still(reading))),
        Recorded::Sides { port, starboard } => {
            let [port, starboard] = [port, starboard].map(|side| side.as_ref().map(still));
            Some(Noted::Sides { port, starboard })
        }
    }
}

/// The rows of a table, in its order.
pub fn rows(settings: &Settings) -> Vec<Row> {
    let plain = settings.rows.iter().map(|row| Row { wind: row.at.value, angle: None });
    let angled = settings.angled.iter().flat_map(|angled| &angled.rows);
    let angled = angled.map(|row| Row { wind: row.row.at.value, angle: Some(row.angle.value) });
    plain.chain(angled).collect()
}

/// Both readings that a known one is disputed between: `4` and `5½`; `None` if it is not disputed. The angle is that of a table
/// kept by angle.
pub fn disputed(
    book: &Book,
    settings: &Settings,
    control: &str,
    (wind, angle): (Wind, Option<Angle>),
) -> Option<[String; 2]> {
    OfNotes::on(book, settings)?.disputed(control, (wind, angle))
}

/// A disputed reading as it stands beneath what to set: `4 or 5½`.
pub fn disputed_words(readings: &[String; 2]) -> String {
    readings.join(" or ")
}

fn noted_words(scale: &Scale, noted: Noted) -> String {
    let one = |reading: Reading| {
        let (least, greatest) = (bare_words(scale, reading.least), bare_words(scale, reading.greatest));
        if least == greatest { least } else { format!("{least} to {greatest}") }
    };
    match noted {
        Noted::NotUsed => "not used".to_owned(),
        Noted::One(reading) => one(reading),
        Noted::Sides { port: Some(port), starboard: Some(starboard) } if port == starboard => one(port),
        Noted::Sides { port, starboard } => {
            let port = port.map(|port| format!("{} P", one(port)));
            let starboard = starboard.map(|starboard| format!("{} S", one(starboard)));
            port.into_iter().chain(starboard).collect::<Vec<_>>().join(", ")
        }
    }
}

/// When what a control is read by was last measured: before that day its marks stood elsewhere.
pub fn measured(control: &Control, sailed: &Sailed) -> Option<Timestamp> {
    let strip = control.strip.iter().flat_map(|strip| strip.datum.iter().chain(&strip.second_datum));
    let days = strip.filter_map(|datum| datum.measured.as_deref());
    let base = match &control.scale.kind {
        ScaleKind::Turns { base } => date::last_in(base),
        _ => None,
    };
    let day = days.chain(base).filter_map(|day| day.parse::<jiff::civil::Date>().ok()).max()?;
    sailed.clock.to_zoned_datetime(day.at(0, 0, 0, 0)).ok().map(|start| start.timestamp())
}
