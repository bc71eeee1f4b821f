//! What a book holds of what was sailed: the notes, and the columns that their file has, in the order of the hand-over card.
//! Plain data, no arithmetic; reads nothing.

use jiff::tz::TimeZone;

use super::model::{Control, Sections, When};
use super::problem::Place;
use super::spanned::Spanned;
use crate::season::Note;
use crate::tuning::Side;

/// The notes of what was sailed, and where they are kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Sailed {
    /// The CSV file, by its path from the book's own folder.
    pub file: Spanned<String>,
    /// The name of the time zone whose clock the notes go by: `Europe/London`.
    pub time_zone: String,
    /// The same, as a clock.
    pub clock: TimeZone,
    /// The notes in the order of the file.
    pub notes: Vec<Note>,
    /// Where `sailed` stands in the book.
    pub place: Place,
}

/// A column of the notes' file, and a line of the card that they are written on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoteColumn {
    /// One of those that every notes' file can have.
    Always(NoteField),
    /// What was set on a control, by its index among the controls of the book; of one with two sides, on which of them.
    Control(usize, Option<Side>),
}

/// What a note says besides what was set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum NoteField {
    /// When it was set.
    When,
    /// When something was changed again.
    Until,
    /// The settings, or the sails.
    Settings,
    /// The wind.
    Wind,
    /// The true wind angle.
    Angle,
    /// The sea, in words.
    Sea,
    /// How many were below.
    Below,
    /// Who steered.
    Helm,
    /// The trial that it is a leg of.
    Trial,
    /// The speed through the water.
    Speed,
    /// How it went.
    Verdict,
    /// Who wrote it.
    Who,
    /// Anything else.
    Remark,
    /// What a comparison found; no person writes it.
    Found,
}

impl NoteField {
    /// What stands before the controls, in order.
    pub const BEFORE: [NoteField; 9] = [
        NoteField::When,
        NoteField::Until,
        NoteField::Settings,
        NoteField::Wind,
        NoteField::Angle,
        NoteField::Sea,
        NoteField::Below,
        NoteField::Helm,
        NoteField::Trial,
    ];
    /// What stands after them, in order.
    pub const AFTER: [NoteField; 5] =
        [NoteField::Speed, NoteField::Verdict, NoteField::Who, NoteField::Remark, NoteField::Found];

    /// What stands over its column.
    pub const fn heading(self) -> &'static str {
        match self {
            NoteField::When => "when",
            NoteField::Until => "until",
            NoteField::Settings => "settings",
            NoteField::Wind => "wind",
            NoteField::Angle => "angle",
            NoteField::Sea => "sea",
            NoteField::Below => "below",
            NoteField::Helm => "helm",
            NoteField::Trial => "trial",
            NoteField::Speed => "speed",
            NoteField::Verdict => "verdict",
            NoteField::Who => "who",
            NoteField::Remark => "note",
            NoteField::Found => "found",
        }
    }

    /// Every one of them.
    pub fn all() -> impl Iterator<Item = NoteField> {
        NoteField::BEFORE.into_iter().chain(NoteField::AFTER)
    }
}

impl NoteColumn {
    /// What stands over the column in a notes' file that is started: a control by its id.
    pub fn heading(self, controls: &[Control]) -> String {
        let NoteColumn::Control(index, side) = self else { return self.always().to_owned() };
        let id = controls.get(index).map(|control| control.id.value.as_str()).unwrap_or_default();
        // A control that is called like another column says that it is one.
        let taken = NoteField::all().any(|field| field.heading() == id) || id == SAILS;
        let id = if taken { format!("{CONTROL} {id}") } else { id.to_owned() };
        side.map_or(id.clone(), |side| format!("{id} {}", side.name()))
    }

    const fn always(self) -> &'static str {
        match self {
            NoteColumn::Always(field) => field.heading(),
            NoteColumn::Control(..) => "",
        }
    }
}

/// May stand over a column in place of `settings`.
pub(super) const SAILS: &str = "sails";
/// May stand before the name of a control.
pub(super) const CONTROL: &str = "control";

impl Sections {
    /// The columns of a notes' file of this boat, in the order of the hand-over card: what moves while racing.
    pub fn note_columns(&self) -> Vec<NoteColumn> {
        let racing = self.controls.iter().enumerate().filter(|(_, control)| control.when == When::Racing);
        let of_control = |(index, control): (usize, &Control)| match control.has_two_sides() {
            true => Side::BOTH.map(|side| NoteColumn::Control(index, Some(side))).to_vec(),
            false => vec![NoteColumn::Control(index, None)],
        };
        let before = NoteField::BEFORE.into_iter().map(NoteColumn::Always);
        let after = NoteField::AFTER.into_iter().map(NoteColumn::Always);
        before.chain(racing.flat_map(of_control)).chain(after).collect()
    }
}
