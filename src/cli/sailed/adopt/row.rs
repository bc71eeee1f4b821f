//! The row of settings that something is taken into: one that is there, or one that is to be.

use cockpit_cards::book::{Book, Settings, suggest};
use cockpit_cards::cards::parts::evidence::rows;
use cockpit_cards::comparing::told;
use cockpit_cards::season::{Row, row_of};
use cockpit_cards::tuning::tolerance::is_same;
use cockpit_cards::tuning::{Angle, Axis as _, Wind};

use super::super::super::{Outcome, refuse};

/// A row of settings by its wind, and by its angle where they go by that as well.
pub struct AskedRow<'a> {
    pub book: &'a Book,
    pub settings: &'a Settings,
    pub wind: Wind,
    pub angle: Option<Angle>,
    /// Its place among the rows; `None` if it is yet to be put in.
    pub at: Option<usize>,
}

impl<'a> AskedRow<'a> {
    pub fn of(book: &'a Book, id: &str, wind: Wind, angle: Option<Angle>) -> Result<Self, Outcome> {
        let Some(settings) = book.settings(id) else {
            let ids = book.settings.iter().map(|settings| settings.id.value.as_str());
            return Err(refuse(&format!("there are no settings {id}"), &suggest::advice(id, ids)));
        };
        match (settings.angled.is_some(), angle) {
            (true, None) => {
                let what = format!("{id} go by wind and angle, and no angle is given");
                return Err(refuse(&what, "give that of the row: --angle 80"));
            }
            (false, Some(_)) => {
                return Err(refuse(&format!("{id} go by wind alone"), "leave --angle out"));
            }
            _ => {}
        }
        let is_it = |row: &Row| is_at(row, wind, angle);
        Ok(AskedRow { book, settings, wind, angle, at: rows(settings).iter().position(is_it) })
    }

    /// `14 kn`, `14 kn, 80°`.
    pub fn words(&self) -> String {
        told::at(self.wind, self.angle, self.book.units.wind)
    }

    /// Whether something sailed at a wind, and an angle, speaks for this row rather than for another.
    pub fn is_nearest(&self, wind: Wind, angle: Option<Angle>) -> bool {
        let mut all = rows(self.settings);
        let at = self.at.unwrap_or(all.len());
        if self.at.is_none() {
            all.push(Row { wind: self.wind, angle: self.angle });
        }
        row_of(&all, wind, angle) == Some(at)
    }

    /// The rows that there are, to choose from.
    pub fn others(&self) -> String {
        let all = rows(self.settings).into_iter();
        let words = all.map(|row| told::at(row.wind, row.angle, self.book.units.wind));
        words.collect::<Vec<String>>().join("; ")
    }
}

pub fn is_at(row: &Row, wind: Wind, angle: Option<Angle>) -> bool {
    let degrees = |angle: Option<Angle>| angle.map(Angle::to_degrees);
    let is_angle = match (degrees(row.angle), degrees(angle)) {
        (Some(own), Some(other)) => is_same(own, other),
        (own, other) => own.is_none() && other.is_none(),
    };
    row.wind.is_at(wind) && is_angle
}
