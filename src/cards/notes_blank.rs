//! The card that notes of what was sailed are written on, under way: a line for each column of the notes' file, in its order, so that
//! it can be copied without looking for anything. It is printed by a command and belongs to no book's cards.

use serde::Serialize;

use super::handover::LEAST_ROW_MM;
use super::parts::frame::Surround;
use super::parts::label::Label;
use super::parts::table::{Cell, Column, Row, Ruled};
use super::parts::words::called;
use super::{Card, Content, Stock};
use crate::book::{Book, NoteColumn, NoteField, Settings};
use crate::drawing::Drawing;
use crate::size::NamedSize;
use crate::wrong::Wrong;

/// What such a card is called where others have the name of their kind.
const NAME: &str = "notes-blank";
/// Notes on a side that also says how to write them, and on a back that goes on with more of them.
const BESIDE_HINTS: usize = 3;
const ON_BACK: usize = 4;
/// A column to write one note in, millimetres.
const NOTE_MM: f64 = 14.0;

/// What one side says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NotesBlank {
    #[serde(skip)]
    size: Option<NamedSize>,
    boat: String,
    /// `j1-upwind: J1 + Main, upwind`; `None`: whatever she sails with.
    settings: Option<String>,
    side: Side,
    /// What is written on each line, and how.
    lines: Vec<Line>,
}

/// What a side is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
enum Side {
    /// The first notes.
    First,
    /// More of them.
    More,
    /// The rest of the lines of the first notes.
    Rest,
}

/// How notes lie on the two sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spread {
    /// Each note stands on one side.
    OneSide,
    /// Each note begins on the front and ends on the back: of a boat with many controls, on a card that fits a pocket.
    BothSides,
}

/// A line to write on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Line {
    /// As the notes' file takes it for the name of a column: `Jib lead port`.
    pub name: String,
    /// What a higher number does, or what to write.
    pub hint: String,
    /// Whether it is a control.
    pub is_control: bool,
}

impl NotesBlank {
    /// Every line, from the top.
    pub fn lines(&self) -> &[Line] {
        &self.lines
    }

    fn title(&self) -> String {
        let settings = self.settings.as_ref().map(|settings| format!(", {settings}")).unwrap_or_default();
        format!("Notes of what was sailed{settings}")
    }
}

impl Content for NotesBlank {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        let has_hints = self.side != Side::More;
        let blanks = if has_hints { BESIDE_HINTS } else { ON_BACK };
        let row = |line: &Line| {
            let name = if line.is_control { Cell::bold(&line.name) } else { Cell::plain(&line.name) };
            let hint = has_hints.then(|| Cell::plain(&line.hint));
            Row::of(std::iter::once(name).chain(hint).chain(vec![Cell::empty(); blanks]))
        };
        let note = |nth: usize| Column { least_mm: NOTE_MM, ..Column::wide(format!("{nth}"), 1.0) };
        let first = if has_hints { 1 } else { BESIDE_HINTS + 1 };
        let hints = has_hints.then(|| Column::narrow("higher is"));
        let columns = std::iter::once(Column::narrow("")).chain(hints).chain((first..first + blanks).map(note));
        let foot = match self.side {
            Side::First => {
                "Grease pencil on matt film. Empty: not noted. 4..5: played between the two. none: not used."
            }
            Side::More => "More notes, after those on the front.",
            Side::Rest => "The same notes, from the front.",
        };
        Ruled {
            size: self.size.clone(),
            surround: Surround {
                title: vec!["Notes".to_owned()],
                at_right: String::new(),
                kind: self.settings.clone().unwrap_or_else(|| "what was set, in what wind, and how it went".to_owned()),
                foot: vec![foot.to_owned()],
                ..Surround::default()
            },
            name: format!("{}: {}", self.boat, self.title()),
            description: "To write notes of what was sailed on".to_owned(),
            columns: columns.collect::<Vec<_>>(),
            rows: self.lines.iter().map(row).collect(),
            least_row_mm: LEAST_ROW_MM,
            boxed_in: true,
            ..Ruled::default()
        }
        .draw(label)
    }
}

/// The card, front and back; of some settings, with their controls alone.
pub fn card(book: &Book, settings: Option<&Settings>, size: &NamedSize, spread: Spread) -> Card {
    let lines = lines(book, settings);
    let (front, back) = lines.split_at(lines.len().div_ceil(2));
    let side = |side: Side, lines: &[Line]| {
        let content = NotesBlank {
            size: Some(size.clone()),
            boat: book.boat.name.value.clone(),
            settings: settings.map(|settings| format!("{}: {}", settings.id.value, called(book, settings))),
            side,
            lines: lines.to_vec(),
        };
        let id = if side == Side::First { NAME.to_owned() } else { format!("{NAME}-back") };
        Card::new(id, NAME, content.title(), Stock::Card, book.boat.name.place.clone(), content)
    };
    let (front, back) = match spread {
        Spread::OneSide => (side(Side::First, &lines), side(Side::More, &lines)),
        Spread::BothSides => (side(Side::First, front), side(Side::Rest, back)),
    };
    front.with_back(back, book.boat.name.place.clone())
}

/// Every column of the notes' file but what no person writes.
fn lines(book: &Book, settings: Option<&Settings>) -> Vec<Line> {
    let is_used = |column: &NoteColumn| match column {
        NoteColumn::Always(field) => *field != NoteField::Found,
        NoteColumn::Control(index, _) => settings.is_none_or(|settings| settings.controls.contains(index)),
    };
    let line = |column: NoteColumn| match column {
        NoteColumn::Always(field) => {
            Line { name: field.heading().to_owned(), hint: hint(field, book), is_control: false }
        }
        NoteColumn::Control(index, side) => {
            let control = book.controls.get(index);
            let name = control.map(|control| control.name.clone()).unwrap_or_default();
            let higher = control.and_then(|control| control.higher_is.as_ref()).map(|higher| higher.to_uppercase());
            let name = side.map_or(name.clone(), |side| format!("{name} {}", side.name()));
            Line { name, hint: higher.unwrap_or_default(), is_control: true }
        }
    };
    book.note_columns().into_iter().filter(is_used).map(line).collect()
}

/// What to write on a line.
fn hint(field: NoteField, book: &Book) -> String {
    match field {
        NoteField::When => "day and time",
        NoteField::Until => "time",
        NoteField::Settings => "or sails",
        NoteField::Wind => book.units.wind.symbol(),
        NoteField::Angle => "true, °",
        NoteField::Sea => "flat, chop",
        NoteField::Below => "how many",
        NoteField::Speed => "kn",
        NoteField::Verdict => "fast, ok, slow",
        NoteField::Who => "writes",
        NoteField::Helm | NoteField::Trial | NoteField::Remark | NoteField::Found => "",
    }
    .to_owned()
}
