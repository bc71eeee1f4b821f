//! The wind to read a card at with part of the crew below: from the book to the arithmetic and back. Lays nothing out.

use crate::book::{Book, PointOfSail, Righting, Settings, Target, WindKind};
use crate::tuning::air::Air;
use crate::tuning::righting::{Bunks, Course, Crew, ReadAt, RightingError, Row, Wind, wind_to_read_at};

/// Crew and righting of a book, which has both.
#[derive(Clone, Copy, Debug)]
pub struct Feel<'a> {
    pub crew: &'a Crew,
    pub righting: &'a Righting,
    kind: WindKind,
}

impl<'a> Feel<'a> {
    /// `None` if the book has no crew or no righting.
    pub fn of(book: &'a Book) -> Option<Self> {
        let (crew, righting) = (book.race.crew.as_ref()?, book.race.righting.as_ref()?);
        let kind = book.wind_source.as_ref().map_or(WindKind::True, |source| source.kind);
        Some(Feel { crew: &crew.crew, righting, kind })
    }

    /// The wind to read the settings' card at; `Ok(None)` where the boat is not heel-limited, so nothing changes.
    ///
    /// Heel, speed and angle are the settings' targets, by the curve between them and beyond them the nearest.
    ///
    /// # Errors
    /// More below than aboard, or a boat that does not right herself.
    pub fn read_at(
        &self,
        settings: &Settings,
        wind_kn: f64,
        below: u32,
        bunks: Bunks,
    ) -> Result<Option<ReadAt>, RightingError> {
        let now = self.crew.with_below(below, bunks)?;
        let Some(row) = self.limited_row(settings, wind_kn) else { return Ok(None) };
        let factor = self.air_factor();
        wind_to_read_at(&self.righting.hull, &self.crew.all_up(), &now, row, factor).map(Some)
    }

    /// What the density of the air does to the wind, if the book gives the air.
    pub fn air_factor(&self) -> Option<f64> {
        // The book's reader has held the air against the formula's limits.
        self.righting.air.and_then(|air| air.wind_factor(Air::STANDARD).ok())
    }

    fn limited_row(&self, settings: &Settings, wind_kn: f64) -> Option<Row> {
        if settings.point_of_sail != PointOfSail::Upwind {
            return None;
        }
        let at = |read: fn(&Target) -> Option<f64>| settings.targets.at(wind_kn, read);
        let heel_deg = match at(|target| target.heel_deg) {
            Some(heel_deg) => (heel_deg >= self.righting.limited_from_deg).then_some(heel_deg)?,
            None => {
                let from_kn = self.righting.limited_from_kn?;
                (wind_kn >= from_kn).then_some(self.righting.limited_from_deg)?
            }
        };
        let angle_deg = at(|target| target.angle_deg).or(self.righting.upwind_angle_deg);
        let wind = match self.kind {
            WindKind::Apparent => Wind::Apparent { speed_kn: wind_kn },
            WindKind::True => {
                let course = at(|target| target.speed_kn).zip(angle_deg);
                let course =
                    course.map(|(boat_speed_kn, true_wind_angle_deg)| Course { boat_speed_kn, true_wind_angle_deg });
                Wind::True { speed_kn: wind_kn, course }
            }
        };
        Some(Row { wind, heel_deg })
    }
}
