//! What the notes say of one reading in the book: its class, which a card prints as a sign. Knows no log, no card and no book.

use std::collections::BTreeSet;

use jiff::{Timestamp, civil::Date, tz::TimeZone};

use super::{Found, Note, Noted, Row, Verdict, row_of};
use crate::tuning::tolerance::{is_below, is_same};

/// As many fast notes of as many days make a reading one that was found again: two may be one night's luck.
const REPEATED: usize = 3;

/// A reading in the book of which the notes are asked.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// The id of its settings table.
    pub settings: &'a str,
    /// The id of its control.
    pub control: &'a str,
    /// All rows of the table, so that a note speaks for the nearest only.
    pub rows: &'a [Row],
    /// Which of them it stands in.
    pub row: usize,
    /// What the book says there.
    pub reading: Noted,
    /// One whole mark of the control's scale, in its coordinate.
    pub mark: f64,
    /// When the control's datum, base or line was last measured: older notes were read off another scale.
    pub measured: Option<Timestamp>,
}

/// What the notes say of a reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Evidence {
    /// Nothing that changes its class.
    None,
    /// It went fast on three days or more: fast notes within one mark of it.
    Repeated,
    /// Trials were compared and said to keep it.
    Proven,
    /// Fast notes lie more than a mark apart, and no trials have been compared; these are the first two that do, so that a
    /// further note, which changes nothing of this, does not change them either.
    Disputed(Noted, Noted),
}

/// What the notes say of a reading in the book. Only notes of its settings, nearest to its row, in which its control was
/// noted since it was last measured.
///
/// What the last comparison found decides, if it is of this very reading. Else fast notes do: apart from each other they
/// dispute it, and near it on three days they repeat it. A note that does not say `fast` changes nothing, and no note ever
/// changes a number.
pub fn class<'a>(asked: &Asked, notes: impl IntoIterator<Item = &'a Note>, zone: &TimeZone) -> Evidence {
    let own: Vec<(&Note, Noted)> = notes.into_iter().filter_map(|note| Some((note, asked.reading_in(note)?))).collect();
    let found = own.iter().rev().find_map(|(note, noted)| Some((note.found?, noted)));
    if let Some((found, noted)) = found {
        let is_kept = found == Found::Keep && noted.from(&asked.reading) == Some(0.0);
        return if is_kept { Evidence::Proven } else { asked.repeated(&own, zone) };
    }
    let fast: Vec<Noted> = own.iter().filter(|(note, _)| note.is_fast()).map(|(_, noted)| *noted).collect();
    match apart(&fast, asked.mark) {
        Some((one, other)) => Evidence::Disputed(one, other),
        None => asked.repeated(&own, zone),
    }
}

/// Whether the reading, which the book has from elsewhere, was sailed as it stands: a note of its row names it, and says that it
/// went fast or ok. One that says `slow` or nothing makes nothing sailed.
pub fn is_sailed<'a>(asked: &Asked, notes: impl IntoIterator<Item = &'a Note>) -> bool {
    let went = |note: &Note| matches!(note.verdict, Some(Verdict::Fast | Verdict::Ok));
    let is_it = |noted: Noted| noted.from(&asked.reading).is_some_and(|apart| is_same(apart, 0.0));
    notes.into_iter().filter(|note| went(note)).filter_map(|note| asked.reading_in(note)).any(is_it)
}

impl Asked<'_> {
    /// What a note says of the control, if it is one of this reading's row.
    fn reading_in(&self, note: &Note) -> Option<Noted> {
        let is_of_scale = self.measured.is_none_or(|measured| note.when.is_some_and(|when| when >= measured));
        let is_of_row = note.settings == self.settings
            && is_of_scale
            && row_of(self.rows, note.wind?, note.angle) == Some(self.row);
        is_of_row.then(|| note.reading_of(self.control)).flatten()
    }

    fn repeated(&self, own: &[(&Note, Noted)], zone: &TimeZone) -> Evidence {
        let is_near = |noted: &Noted| noted.from(&self.reading).is_some_and(|apart| !is_below(self.mark, apart));
        let fast = own.iter().filter(|(note, noted)| note.is_fast() && is_near(noted));
        let days: BTreeSet<Date> = fast.filter_map(|(note, _)| Some(zone.to_datetime(note.when?).date())).collect();
        if days.len() >= REPEATED { Evidence::Repeated } else { Evidence::None }
    }
}

/// Of some readings in the order of the notes, the first that lies more than a mark from an earlier one, after the first such
/// earlier one. A control left unused is endlessly far from one in use.
pub(super) fn apart(readings: &[Noted], mark: f64) -> Option<(Noted, Noted)> {
    // Found in one pass, whether there is a pair to look for.
    farthest(readings.iter().copied()).filter(|(apart, ..)| is_below(mark, *apart))?;
    let are_apart = |one: &Noted, other: &Noted| one.from(other).is_some_and(|apart| is_below(mark, apart));
    readings.iter().enumerate().find_map(|(nth, later)| {
        let earlier = readings[..nth].iter().find(|earlier| are_apart(earlier, later))?;
        Some((*earlier, *later))
    })
}

/// The two readings that are farthest apart on one side, and how far: a control left unused is endlessly far from one in use.
fn farthest(readings: impl Iterator<Item = Noted> + Clone) -> Option<(f64, Noted, Noted)> {
    let unused = readings.clone().find(|noted| *noted == Noted::NotUsed);
    let used = readings.clone().find(|noted| *noted != Noted::NotUsed);
    if let Some((unused, used)) = unused.zip(used) {
        return Some((f64::INFINITY, unused, used));
    }
    let on_side = |side: usize| {
        let known = readings.clone().filter_map(move |noted| Some((noted.sides()[side]?, noted)));
        let (low, lowest) = known.clone().min_by(|(a, _), (b, _)| a.greatest.total_cmp(&b.greatest))?;
        let (high, highest) = known.max_by(|(a, _), (b, _)| a.least.total_cmp(&b.least))?;
        Some((high.from(&low), lowest, highest))
    };
    [0, 1].into_iter().filter_map(on_side).max_by(|(a, ..), (b, ..)| a.total_cmp(b))
}
